// The page reads without this: it filters findings, and keeps what was ticked or written in this browser.
(function () {
  "use strict";
  var mark = "treadle." + document.body.dataset.mark + ".";
  var store = null;
  try {
    store = window.localStorage;
    store.getItem(mark);
  } catch (refused) {
    store = null;
  }

  function keep(box) {
    var name = mark + box.dataset.keep;
    var tick = box.type === "checkbox";
    var kept = null;
    try { kept = store.getItem(name); } catch (refused) { return; }
    if (kept !== null) {
      if (tick) { box.checked = kept === "1"; } else { box.value = kept; }
    }
    box.addEventListener("change", function () {
      var value = tick ? (box.checked ? "1" : "") : box.value;
      try {
        if (value) { store.setItem(name, value); } else { store.removeItem(name); }
      } catch (refused) { /* a full or closed store costs only the memory of this box */ }
    });
  }
  if (store) { document.querySelectorAll("[data-keep]").forEach(keep); }

  document.querySelectorAll("[data-filter]").forEach(function (filter) {
    var rows = filter.parentNode.querySelectorAll("[data-severity]");
    filter.hidden = filter.querySelectorAll("input").length < 2;
    filter.addEventListener("change", function () {
      var shown = {};
      filter.querySelectorAll("input").forEach(function (box) { shown[box.value] = box.checked; });
      rows.forEach(function (row) { row.hidden = !shown[row.dataset.severity]; });
    });
  });

  // Tables and drawings that do not scroll need no stop of the tab key.
  document.querySelectorAll(".scroll").forEach(function (pane) {
    if (pane.scrollWidth <= pane.clientWidth) { pane.removeAttribute("tabindex"); }
  });
})();
