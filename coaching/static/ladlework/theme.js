/* Runs before the page is drawn, so a reader who chose night is not shown day first. */
(function () {
  "use strict";
  const root = document.documentElement;
  root.classList.add("js");
  let look = null;
  try {
    look = localStorage.getItem("look");
  } catch (refused) {
    look = null; /* storage is switched off: follow the device */
  }
  if (look === "paper" || look === "night") root.dataset.theme = look;
})();
