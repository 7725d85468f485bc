// What the terminal in the page lacks: a size of letters that fits, touch, and a line that comes back.
"use strict";
(() => {
  const SMALLEST = 8, BIGGEST = 32;
  const ENDED = {
    1000: "The program has ended. What it kept is kept.",
    4001: "The program goes on in another window.",
    4002: "Every program that may run at once is in use. End one, then start again.",
    4003: "Ended, since nothing was typed or tapped for long. What it kept is kept.",
    4004: "The program stopped on an error. What it kept is kept.",
    4005: "Ended, since another device needed its place. What it kept is kept.",
  };
  const element = (id) => document.getElementById(id);
  const terminal = element("terminal");

  // a page that is loaded again finds its program again
  const stored = (name, make) => {
    if (!sessionStorage.getItem(name)) sessionStorage.setItem(name, make());
    return sessionStorage.getItem(name);
  };
  const key = stored("page", () =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join(""));

  // 80 columns where they fit in letters of 12 px and up; a letter is 0.6 of its size wide
  const fitting = () => Math.min(16, Math.max(12, Math.floor(window.innerWidth / 48.1)));
  const size = Number(sessionStorage.getItem("letters")) || fitting();
  terminal.dataset.fontSize = String(size);
  terminal.dataset.sessionWebsocketUrl =
    (location.protocol === "https:" ? "wss://" : "ws://") + location.host + "/ws";
  const resize = (by) => {
    sessionStorage.setItem("letters", String(Math.min(BIGGEST, Math.max(SMALLEST, size + by))));
    location.reload();
  };

  const notice = (text, button) => {
    element("message").textContent = text;
    element("again").hidden = !button;
    element("notice").hidden = false;
    if (button) element("again").focus();
  };
  const comeBack = async () => {
    notice("The connection dropped. Trying again ...", false);
    for (;;) {
      try {
        const answer = await fetch("/alive");
        if (answer.ok) return location.reload();
        return notice("`badride serve` was started again: open the link that it shows now.", false);
      } catch {
        await new Promise((resolve) => setTimeout(resolve, 1000));
      }
    }
  };

  let line = null, leaving = false;
  window.WebSocket = class extends WebSocket {
    constructor(url) {
      super(url + "&page=" + key);
      line = this;
      this.addEventListener("message", (event) => {
        if (typeof event.data === "string") told(...JSON.parse(event.data));
      });
      this.addEventListener("close", (event) => {
        if (event.code in ENDED) notice(ENDED[event.code], true);
        else if (!leaving) comeBack();
      });
    }
  };
  window.addEventListener("pagehide", () => { leaving = true; });

  const say = (...words) => {
    if (line?.readyState === WebSocket.OPEN) line.send(JSON.stringify(words));
  };
  const type = (letters) => say("stdin", letters);

  // files: of the computer that serves, no path can be named; they come from this device and go to it
  const LARGEST = 2000000;
  const show = (choose, save) => {
    element("choose").hidden = !choose;
    element("save").hidden = !save;
    element("file").hidden = !choose && !save;
    window.dispatchEvent(new Event("resize"));
  };
  const base64 = (bytes) => {
    let text = "";
    for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
    return btoa(text);
  };
  let offered = "";
  const told = (word, about) => {
    if (word === "take-file") show(true, false);
    if (word === "no-file") show(false, false);
    if (word === "hand-over") {
      URL.revokeObjectURL(offered);
      const bytes = Uint8Array.from(atob(about.content), (letter) => letter.charCodeAt(0));
      offered = URL.createObjectURL(new Blob([bytes]));
      element("save").href = offered;
      element("save").download = about.name;
      element("save").textContent = "Save " + about.name;
      show(false, true);
    }
  };
  element("chosen").addEventListener("change", async (event) => {
    const file = event.target.files[0];
    if (!file) return;
    if (file.size > LARGEST) {
      element("choose").firstChild.textContent = "Too large; choose a file of at most 2 MB";
    } else {
      say("given", { name: file.name, content: base64(new Uint8Array(await file.arrayBuffer())) });
    }
    event.target.value = "";
  });
  element("save").addEventListener("click", () => setTimeout(() => say("taken")));
  element("plain").hidden = window.isSecureContext;

  element("enter").addEventListener("click", () => type("\r"));
  element("escape").addEventListener("click", () => type("\x1b"));
  element("again").addEventListener("click", () => location.reload());
  element("smaller").addEventListener("click", () => resize(-1));
  element("larger").addEventListener("click", () => resize(1));

  // a tap on an answer must not bring up the keyboard over half of a phone
  const quieten = () => {
    const input = terminal.querySelector("textarea");
    const touch = window.matchMedia("(pointer: coarse)").matches;
    if (touch) input.inputMode = "none";
    input.focus({ preventScroll: true });
    element("keyboard").addEventListener("click", () => {
      const on = input.inputMode === "none";
      input.inputMode = on ? "text" : "none";
      element("keyboard").setAttribute("aria-pressed", String(on));
      input.blur();
      input.focus();
    });
  };
  // the terminal itself is made when the page has loaded
  window.addEventListener("load", () => setTimeout(quieten));

  // a finger that slides turns the wheel
  let last = null;
  terminal.addEventListener("touchstart", (event) => { last = event.touches[0]; }, { passive: true });
  terminal.addEventListener("touchmove", (event) => {
    const now = event.touches[0];
    if (last === null || Math.abs(now.clientY - last.clientY) < size) return;
    terminal.querySelector(".xterm-screen").dispatchEvent(new WheelEvent("wheel", {
      bubbles: true, cancelable: true, clientX: now.clientX, clientY: now.clientY,
      deltaY: (last.clientY - now.clientY) * 2, deltaMode: 0,
    }));
    last = now;
  }, { passive: true });
})();
