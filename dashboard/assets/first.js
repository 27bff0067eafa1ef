// Runs before anything is drawn: the paper, so that nothing flashes.
"use strict";

window.longrow = {
  // The reader's paper on this device: light or dark if chosen, else as the device is set.
  storedPaper: function () {
    try {
      return window.localStorage.getItem("longrow-paper");
    } catch {
      return null; // storage may be switched off
    }
  },
  paper: function () {
    const stored = window.longrow.storedPaper();
    if (stored === "light" || stored === "dark") return stored;
    return window.matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  },
};
document.documentElement.dataset.theme = window.longrow.paper();
