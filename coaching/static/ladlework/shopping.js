/* Ticks that got no answer are not kept, and the page says so. Without this file every tick is a page load. */
(function () {
  "use strict";
  let isTickLost = false;

  function isTick(event) {
    return event.target instanceof Element && event.target.closest("#aisles") !== null;
  }
  function say(isLost) {
    const words = document.getElementById("shop-lost");
    if (words) words.hidden = !isLost;
  }

  for (const name of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
    document.addEventListener(name, function (event) {
      if (!isTick(event)) return;
      isTickLost = true;
      say(true);
    });
  }
  document.addEventListener("htmx:beforeSwap", function (event) {
    if (!isTick(event)) return;
    const answeredBy = event.detail.xhr.responseURL;
    if (/\/(un)?tick\/$/.test(answeredBy)) return;
    event.detail.shouldSwap = false; /* another page answered, such as the sign-in: go there instead */
    window.location.reload();
  });
  document.addEventListener("htmx:oobAfterSwap", function () {
    isTickLost = false;
    say(false);
  });
  window.addEventListener("offline", function () {
    say(true);
  });
  window.addEventListener("online", function () {
    say(isTickLost);
  });
})();
