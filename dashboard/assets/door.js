// Every request that changes something carries the proof that it was made on our own page; and a session that has
// ended is told by the server to requests as well, so the page is then loaded anew: its reader sees why, signs in
// and goes on where they were. While the server does not answer the page says so, as what stands is not what was asked.
"use strict";

(function () {
  const ask = window.fetch;
  const SAFE = ["GET", "HEAD"];

  function proof() {
    const kept = document.cookie.split("; ").find((one) => one.startsWith("_csrf_token="));
    return kept ? kept.slice("_csrf_token=".length) : "";
  }

  function tell(isUnreached) {
    const told = document.getElementById("unreached");
    if (told) told.hidden = !isUnreached;
  }

  window.fetch = async function (what, how) {
    const asked = new Request(what, how);
    const isOurs = new URL(asked.url).origin === window.location.origin;
    if (isOurs && !SAFE.includes(asked.method)) asked.headers.set("X-CSRFToken", proof());
    const isPage = isOurs && asked.url.includes("/_dash-update-component");
    let answer;
    try {
      answer = await ask.call(window, asked);
    } catch (trouble) {
      if (isPage) tell(true);
      throw trouble;
    }
    // A proxy answers in the server's place with 502 to 504 (RFC 9110, 15.6).
    if (isPage) tell(answer.status >= 502 && answer.status <= 504);
    if (isOurs && answer.status === 401) window.location.reload();
    return answer;
  };
})();
