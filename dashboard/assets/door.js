// Every request that changes something carries the proof that it was made on our own page; and a session that has
// ended is told by the server to requests as well, so the page is then loaded anew: its reader sees why, signs in
// and goes on where they were.
"use strict";

(function () {
  const ask = window.fetch;
  const SAFE = ["GET", "HEAD"];

  function proof() {
    const kept = document.cookie.split("; ").find((one) => one.startsWith("_csrf_token="));
    return kept ? kept.slice("_csrf_token=".length) : "";
  }

  window.fetch = async function (what, how) {
    const asked = new Request(what, how);
    const isOurs = new URL(asked.url).origin === window.location.origin;
    if (isOurs && !SAFE.includes(asked.method)) asked.headers.set("X-CSRFToken", proof());
    const answer = await ask.call(window, asked);
    if (isOurs && answer.status === 401) window.location.reload();
    return answer;
  };
})();
