"use strict";
// The keys row types into the same socket as the keyboard does; after the connection ends, one tap begins anew.
const KEYS = {
  esc: "\u001b", tab: "\t", enter: "\r",
  left: "\u001b[D", right: "\u001b[C", up: "\u001b[A", down: "\u001b[B",
};
let socket = null;
const Plain = window.WebSocket;
window.WebSocket = class extends Plain {
  constructor(...given) {
    super(...given);
    socket = this;
    let was = "refused";
    this.addEventListener("open", () => { was = "ended"; });
    this.addEventListener("close", () => document.body.classList.add(was));
  }
};
window.addEventListener("DOMContentLoaded", () => {
  for (const button of document.querySelectorAll("#keys button")) {
    button.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      if (socket !== null && socket.readyState === Plain.OPEN) {
        socket.send(JSON.stringify(["stdin", KEYS[button.dataset.keys] ?? button.dataset.keys]));
      }
    });
  }
  document.getElementById("again").addEventListener("click", () => window.location.reload());
});
