/* The week's board: lift a meal and let it change places with another, by pointer or by keyboard. Without this file
   the same is asked on each meal's own page. The board is drawn anew after every write, so nothing here keeps a cell. */
(function () {
  "use strict";
  const NEAR_PX = 6; /* a press that moves less is a click */
  let carried = null; /* the key of the meal in hand */
  let over = null; /* the key of the meal under it */
  let press = null; /* where a pointer went down, before it is a drag */

  const board = () => document.getElementById("week-board");
  const cells = () => Array.from(board().querySelectorAll("[data-movable]"));
  const cellOf = (key) => board().querySelector('[data-meal="' + key + '"]');
  const wordsOf = (key) => cellOf(key).dataset.words;
  const handleOf = (key) => document.getElementById("move-" + key);

  function say(kind, facts) {
    let words = board().dataset["say" + kind];
    for (const [name, value] of Object.entries(facts || {})) words = words.replace("{" + name + "}", value);
    document.getElementById("board-say").textContent = words;
  }
  function showHandles() {
    for (const handle of board().querySelectorAll("[data-carry]")) handle.hidden = false;
  }
  function show() {
    board().classList.toggle("is-carrying", carried !== null);
    for (const cell of cells()) {
      cell.classList.toggle("is-carried", cell.dataset.meal === carried);
      cell.classList.toggle("is-over", carried !== null && cell.dataset.meal === over && over !== carried);
      const handle = handleOf(cell.dataset.meal);
      if (handle) handle.setAttribute("aria-pressed", String(cell.dataset.meal === carried));
    }
  }
  function pick(key) {
    carried = over = key;
    show();
    say("Picked", { meal: wordsOf(key) });
  }
  function hover(key, aloud) {
    if (key === over) return;
    over = key;
    show();
    if (aloud && key !== null) say("Over", { meal: wordsOf(key) });
  }
  function putBack() {
    const was = carried;
    carried = over = null;
    show();
    say("Back");
    return was;
  }
  function drop() {
    const from = carried;
    const to = over;
    if (to === null || to === from) return putBack();
    const names = { meal: wordsOf(from), other: wordsOf(to) };
    carried = over = null;
    show();
    window.htmx
      .ajax("POST", board().dataset.exchange, { target: "#week-board", swap: "outerHTML", values: { meal: from, other: to } })
      .then(function () {
        const handle = handleOf(to);
        if (handle) handle.focus();
        if (!board().querySelector(".message-error")) say("Sent", names);
      });
    return from;
  }

  /* The keyboard: rows of the table are days, and on a wide screen stand side by side. */
  function neighbour(key, arrow) {
    const from = cellOf(key).getBoundingClientRect();
    const middle = (box) => [box.left + box.width / 2, box.top + box.height / 2];
    const [x, y] = middle(from);
    const level = arrow === "ArrowLeft" || arrow === "ArrowRight";
    const sign = arrow === "ArrowRight" || arrow === "ArrowDown" ? 1 : -1;
    let best = null;
    for (const cell of cells()) {
      if (cell.dataset.meal === key) continue;
      const [cx, cy] = middle(cell.getBoundingClientRect());
      const ahead = sign * (level ? cx - x : cy - y);
      const aside = Math.abs(level ? cy - y : cx - x);
      if (ahead < 4) continue;
      const far = ahead + 4 * aside;
      if (best === null || far < best.far) best = { far: far, key: cell.dataset.meal };
    }
    return best === null ? key : best.key;
  }
  function onKey(event) {
    const handle = event.target.closest("[data-carry]");
    if (carried === null || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Escape") {
      event.preventDefault();
      const key = putBack();
      if (handleOf(key)) handleOf(key).focus();
    } else if (event.key.startsWith("Arrow")) {
      event.preventDefault();
      hover(neighbour(over, event.key), true);
      handleOf(over).focus();
    } else if (event.key === "Tab") {
      putBack();
    } else if (handle && (event.key === "Enter" || event.key === " ")) {
      event.preventDefault();
      drop();
    }
  }
  /* The first press on a handle lifts its meal, the next press on any meal drops it there. */
  function onClick(event) {
    const cell = event.target.closest("[data-movable]");
    if (!cell) return;
    if (carried === null) {
      if (event.target.closest("[data-carry]")) pick(cell.dataset.meal);
      return;
    }
    swallow(event);
    over = cell.dataset.meal;
    drop();
  }

  /* The pointer. */
  function meant(event) {
    const under = document.elementFromPoint(event.clientX, event.clientY);
    const cell = under && under.closest("[data-movable]");
    return cell ? cell.dataset.meal : null;
  }
  function onDown(event) {
    const cell = event.target.closest("[data-movable]");
    if (!cell || carried !== null || event.button !== 0 || event.target.closest("button:not([data-carry])")) return;
    if (event.pointerType === "touch" && !event.target.closest("[data-carry]")) return;
    press = { key: cell.dataset.meal, x: event.clientX, y: event.clientY };
  }
  function onMove(event) {
    if (!press) return;
    if (carried === null) {
      if (Math.hypot(event.clientX - press.x, event.clientY - press.y) < NEAR_PX) return;
      pick(press.key);
      window.getSelection().removeAllRanges();
    }
    event.preventDefault();
    hover(meant(event), false);
  }
  function onUp(event) {
    if (!press) return;
    const isDrag = carried !== null;
    press = null;
    if (!isDrag) return;
    hover(meant(event), false);
    window.addEventListener("click", swallow, { capture: true, once: true });
    window.setTimeout(() => window.removeEventListener("click", swallow, { capture: true }), 0);
    drop();
  }
  function swallow(event) {
    event.preventDefault();
    event.stopPropagation();
  }

  document.addEventListener("DOMContentLoaded", function () {
    if (!board() || !board().dataset.exchange) return;
    const panel = document.getElementById("meal-panel");
    showHandles();
    document.addEventListener("keydown", onKey);
    document.addEventListener("click", onClick, true);
    document.addEventListener("pointerdown", onDown);
    document.addEventListener("pointermove", onMove);
    document.addEventListener("pointerup", onUp);
    document.addEventListener("pointercancel", function () {
      press = null;
      if (carried !== null) putBack();
    });
    document.addEventListener("dragstart", (event) => event.target.closest("#week-board") && event.preventDefault());
    document.addEventListener("htmx:afterSwap", function (event) {
      if (event.target === panel) {
        panel.showModal();
        panel.querySelector("h2").focus();
      } else if (event.detail.target.id === "week-board") {
        carried = over = null;
        showHandles();
        const refusal = board().querySelector(".message-error");
        if (refusal) refusal.scrollIntoView({ block: "center" });
      }
    });
    for (const lost of ["htmx:sendError", "htmx:timeout", "htmx:responseError"]) {
      /* Looking again how far the worker is may fail: it is done once more in a moment. */
      document.addEventListener(lost, (event) => event.target.id === "week-status" || say("Lost"));
    }
    document.addEventListener("htmx:beforeSwap", function (event) {
      /* Another page answered, such as the sign-in: go there instead. */
      if (event.detail.xhr.status < 400 && event.detail.xhr.responseText.includes("<html")) {
        event.detail.shouldSwap = false;
        window.location.reload();
      }
    });
  });
})();
