// A session that has ended, or a page that is not open any more, is told by the server to callbacks as well. The
// page is then loaded anew, so that its reader sees why and can sign in and go on where they were.
"use strict";

(function () {
  const ask = window.fetch;
  window.fetch = async function (...what) {
    const answer = await ask.apply(window, what);
    const address = String(what[0] && what[0].url ? what[0].url : what[0]);
    if (answer.status === 401 && address.includes("_dash-")) window.location.reload();
    return answer;
  };
})();
