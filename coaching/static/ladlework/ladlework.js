/* Small manners for every page. Without this file all pages still work. */
(function () {
  "use strict";
  const root = document.documentElement;

  /* Look: as the device says, paper or night. */
  function showLook(look) {
    if (look === "device") delete root.dataset.theme;
    else root.dataset.theme = look;
    for (const button of document.querySelectorAll("[data-look]")) {
      button.setAttribute("aria-pressed", String(button.dataset.look === look));
    }
  }
  function keepLook(look) {
    try {
      if (look === "device") localStorage.removeItem("look");
      else localStorage.setItem("look", look);
    } catch (refused) {
      root.dataset.lookKept = "no"; /* storage is switched off: the choice lasts for this page */
    }
  }

  /* A form that was sent says so, and is not sent twice. */
  function markBusy(form, submitter) {
    form.dataset.sent = "yes";
    const button = submitter || form.querySelector("[type=submit]");
    if (button) {
      button.setAttribute("aria-busy", "true");
      if (button.dataset.busyWord) button.textContent = button.dataset.busyWord;
    }
  }
  function unmarkBusy() {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
    for (const button of document.querySelectorAll("[type=submit][aria-busy]")) button.removeAttribute("aria-busy");
  }

  /* Typed and not yet saved: the browser asks before the page is left. */
  const changed = new Set();
  function warnIfChanged(event) {
    if (changed.size > 0) event.preventDefault();
  }

  document.addEventListener("click", function (event) {
    const hit = event.target.closest("[data-look],[data-opens],[data-toggles],[data-print],[data-closes]");
    if (!hit) return;
    if (hit.dataset.look) {
      keepLook(hit.dataset.look);
      showLook(hit.dataset.look);
    } else if (hit.dataset.opens) {
      event.preventDefault();
      document.getElementById(hit.dataset.opens).showModal();
    } else if (hit.dataset.toggles) {
      const open = document.getElementById(hit.dataset.toggles).classList.toggle("is-open");
      hit.setAttribute("aria-expanded", String(open));
    } else if ("print" in hit.dataset) {
      window.print();
    } else {
      hit.closest("dialog").close();
    }
  });

  document.addEventListener("input", function (event) {
    const form = event.target.form;
    if (form && "guard" in form.dataset) changed.add(form);
  });

  document.addEventListener("submit", function (event) {
    const form = event.target;
    /* data-stays: the answer is a file, so this page remains and may be sent again. */
    if (event.defaultPrevented || form.method === "dialog" || "stays" in form.dataset) return;
    if (form.dataset.sent) {
      event.preventDefault();
      return;
    }
    changed.delete(form);
    if (form.method === "post" && !form.matches("[data-hx-post],[hx-post]")) markBusy(form, event.submitter);
  });

  window.addEventListener("beforeunload", warnIfChanged);
  window.addEventListener("pageshow", unmarkBusy); /* back button: the page may come from memory */

  document.addEventListener("DOMContentLoaded", function () {
    showLook(root.dataset.theme || "device");
    const summary = document.querySelector("[data-focus-first]");
    if (summary) summary.focus();
  });
})();
