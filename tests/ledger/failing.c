/* A libc whose chosen call fails at its Nth use on a file of the ledger: preloaded into the real program.
   FAIL_CALL names it, FAIL_AT counts from 1, FAIL_ERRNO is what it fails with; SHORT=1 writes half instead;
   FAIL_ON=1 fails every later one too. Only descriptors under FAIL_IN count. FAIL_SAID: a file to note it in. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

static int calls;

static int ours(int fd) {
    char link[64], path[4096];
    const char *in = getenv("FAIL_IN");
    snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
    ssize_t n = readlink(link, path, sizeof path - 1);
    if (n < 0 || !in) return 0;
    path[n] = 0;
    return strncmp(path, in, strlen(in)) == 0;
}

static int due(const char *name) {
    const char *call = getenv("FAIL_CALL"), *at = getenv("FAIL_AT");
    if (!call || !at || strcmp(call, name)) return 0;
    calls++;
    int first = atoi(at);
    if (calls != first && !(getenv("FAIL_ON") && calls > first)) return 0;
    const char *said = getenv("FAIL_SAID");
    if (said) close(open(said, O_WRONLY | O_CREAT, 0600));
    return 1;
}

static int refuse(void) { errno = atoi(getenv("FAIL_ERRNO") ? getenv("FAIL_ERRNO") : "5"); return -1; }

#define REAL(name, ...) ((__typeof__(name) *)dlsym(RTLD_NEXT, #name))(__VA_ARGS__)

static ssize_t half(int fd, const void *data, size_t size, off_t at) {
    return ((ssize_t(*)(int, const void *, size_t, off_t))dlsym(RTLD_NEXT, "pwrite"))(fd, data, size / 2 + 1, at);
}
ssize_t pwrite(int fd, const void *data, size_t size, off_t at) {
    if (ours(fd) && due("write")) return getenv("SHORT") ? half(fd, data, size, at) : refuse();
    return REAL(pwrite, fd, data, size, at);
}
ssize_t pwrite64(int fd, const void *data, size_t size, off_t at) {
    if (ours(fd) && due("write")) return getenv("SHORT") ? half(fd, data, size, at) : refuse();
    return ((ssize_t(*)(int, const void *, size_t, off_t))dlsym(RTLD_NEXT, "pwrite64"))(fd, data, size, at);
}
int fdatasync(int fd) { return ours(fd) && due("fdatasync") ? refuse() : REAL(fdatasync, fd); }
int ftruncate(int fd, off_t size) { return ours(fd) && due("ftruncate") ? refuse() : REAL(ftruncate, fd, size); }
int ftruncate64(int fd, off_t size) {
    return ours(fd) && due("ftruncate") ? refuse() : ((int (*)(int, off_t))dlsym(RTLD_NEXT, "ftruncate64"))(fd, size);
}
int flock(int fd, int how) { return ours(fd) && due("flock") ? refuse() : ((int (*)(int, int))dlsym(RTLD_NEXT, "flock"))(fd, how); }
int rename(const char *from, const char *to) {
    const char *in = getenv("FAIL_IN");
    return in && !strncmp(to, in, strlen(in)) && due("rename") ? refuse() : REAL(rename, from, to);
}
int link(const char *from, const char *to) {
    const char *in = getenv("FAIL_IN");
    return in && !strncmp(to, in, strlen(in)) && due("link") ? refuse() : REAL(link, from, to);
}
