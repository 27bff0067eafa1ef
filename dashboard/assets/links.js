// Links inside the dashboard change the address without loading the page anew. The reader stays where they are,
// unless the link leads to another page.
"use strict";

window.longrow.go = function (href) {
  const target = new URL(href, window.location.href);
  const isOtherPage = target.pathname !== window.location.pathname;
  window.history.pushState({}, "", target);
  window.dispatchEvent(new PopStateEvent("popstate"));
  if (isOtherPage) {
    window.scrollTo(0, 0);
    document.getElementById("main").focus({ preventScroll: true });
  }
};

(function () {
  // Choices above a figure and the names of the pages keep the garden that is chosen now: it may have changed since
  // they were drawn.
  function withGarden(link) {
    const target = new URL(link.href);
    const isChoice = link.closest(".bar") && target.pathname === window.location.pathname;
    return isChoice || link.dataset.keeps ? window.longrow.ofGarden(target) : target;
  }

  window.longrow.ofGarden = function (target) {
    const garden = new URL(window.location.href).searchParams.get("garden");
    if (garden) target.searchParams.set("garden", garden);
    else target.searchParams.delete("garden");
    return target;
  };

  // So that what a link shows, and a new tab that it opens, are of the garden that is chosen now.
  window.longrow.keepGarden = function () {
    for (const link of document.querySelectorAll("a[data-keeps], .bar a[data-inside]")) {
      const target = withGarden(link);
      link.setAttribute("href", target.pathname + target.search);
    }
  };

  function follow(event) {
    const link = event.target.closest("a[data-inside]");
    const isPlain = event.button === 0 && !event.metaKey && !event.ctrlKey && !event.shiftKey && !event.altKey;
    if (!link || !isPlain || event.defaultPrevented) return;
    event.preventDefault();
    const list = link.closest("details.now");
    if (list) list.open = false;
    window.longrow.go(withGarden(link));
  }

  // Arrow keys step along the ruler from garden to garden.
  function step(event) {
    const link = event.target.closest(".ruler-row a");
    const towards = { ArrowLeft: "previousElementSibling", ArrowRight: "nextElementSibling" }[event.key];
    if (!link || !towards) return;
    const next = link.parentElement[towards];
    if (!next) return;
    event.preventDefault();
    next.querySelector("a").focus();
  }

  document.addEventListener("click", follow);
  document.addEventListener("keydown", step);
})();
