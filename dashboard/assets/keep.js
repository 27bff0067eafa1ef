// A choice replaces what stands on the page. What the reader had opened stays open, and the focus stays where it was.
"use strict";

(function () {
  const open = new Set();
  let followed = null;

  function name(details) {
    const frame = details.closest("[data-figure]");
    return frame && window.location.pathname + " " + frame.dataset.figure;
  }

  // How to find a link again: a step of the ruler by its side, any other link by where it leads.
  function trace(link) {
    const steps = [...document.querySelectorAll(".step")];
    const region = link.closest("main, nav, header");
    return {
      link,
      find: link.matches(".step")
        ? () => document.querySelectorAll(".step")[steps.indexOf(link)]
        : () => [...document.querySelectorAll("a[data-inside]")].find(
              (one) => one.getAttribute("href") === link.getAttribute("href") && sameRegion(one, region),
            ),
    };
  }

  function sameRegion(link, region) {
    const own = link.closest("main, nav, header");
    return Boolean(own && region) && own.id === region.id && own.tagName === region.tagName;
  }

  function giveBackFocus() {
    if (!followed || followed.link.isConnected || document.activeElement !== document.body) return;
    const again = followed.find();
    followed = null;
    if (again) again.focus({ preventScroll: true });
  }

  function openAgain() {
    for (const details of document.querySelectorAll(".under details:not([open])")) {
      if (open.has(name(details))) details.open = true;
    }
  }

  document.addEventListener(
    "toggle",
    function (event) {
      const key = event.target.matches(".under details") && name(event.target);
      if (!key) return;
      if (event.target.open) open.add(key);
      else if (event.target.isConnected) open.delete(key);
    },
    true,
  );

  document.addEventListener("click", function (event) {
    const link = event.target.closest("a[data-inside]");
    followed = link && document.activeElement === link ? trace(link) : null;
  });

  new MutationObserver(function () {
    openAgain();
    giveBackFocus();
  }).observe(document.documentElement, { subtree: true, childList: true });
})();
