def for_now(f): return []
class Leaving: pass
