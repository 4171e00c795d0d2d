// Moves the pedal: every figure and place comes ready from the page; only the drawing is carried on between positions.
(function () {
  "use strict";
  var box = document.getElementById("motion");
  if (!box) { return; }
  var data = JSON.parse(document.getElementById("motion-data").textContent);
  var slider = document.getElementById("motion-slider");
  var play = document.getElementById("motion-play");
  var where = document.getElementById("motion-where");
  var note = document.getElementById("motion-note");
  var said = document.getElementById("motion-said");
  var last = data.positions.length - 1;
  var calm = window.matchMedia("(prefers-reduced-motion: reduce)");
  var moving = [];
  box.querySelectorAll("[data-shape]").forEach(function (element) {
    var places = data.shapes[Number(element.dataset.shape)];
    // What stands still has one place only, and is drawn there already.
    if (places.length > 1) { moving.push({ element: element, places: places }); }
  });
  var cells = [];
  box.querySelectorAll("[data-row]").forEach(function (row) {
    var texts = data.rows[row.dataset.row];
    ["shown", "band"].forEach(function (part) {
      if (texts[part].length) { cells.push({ cell: row.querySelector("[data-part=" + part + "]"), texts: texts[part] }); }
    });
  });

  function between(places, at) {
    var before = Math.floor(at);
    var share = at - before;
    var one = places[before];
    var other = places[Math.min(before + 1, last)];
    if (share === 0 || !one || !other) { return one; }
    return one.map(function (value, index) { return value + share * (other[index] - value); });
  }

  function put(element, flat) {
    if (!flat) { element.setAttribute("visibility", "hidden"); return; }
    element.removeAttribute("visibility");
    if (element.tagName.toLowerCase() === "circle") {
      element.setAttribute("cx", flat[0]);
      element.setAttribute("cy", flat[1]);
      return;
    }
    var text = "";
    for (var index = 0; index < flat.length; index += 2) { text += flat[index] + "," + flat[index + 1] + " "; }
    element.setAttribute("points", text.trim());
  }

  function draw(at) {
    moving.forEach(function (each) { put(each.element, between(each.places, at)); });
  }

  function read(stop) {
    cells.forEach(function (each) { each.cell.textContent = each.texts[stop]; });
    where.textContent = data.rows.pad.shown[stop];
    slider.setAttribute("aria-valuetext", "pad travel " + data.rows.pad.shown[stop]);
    note.textContent = data.notes[stop];
    note.hidden = data.notes[stop] === "";
  }

  var telling = 0;
  function tell(stop) {
    // Said once the pedal has come to stand, so that moving it does not pile up sentences.
    window.clearTimeout(telling);
    telling = window.setTimeout(function () { said.textContent = data.said[stop]; }, 400);
  }

  function stand() {
    var stop = Number(slider.value);
    draw(stop);
    read(stop);
    tell(stop);
  }

  var running = 0;
  var began, from, shownStop;
  var SECONDS_ALL = 8;
  var SECONDS_A_JUMP = 1;
  var JUMPS = 8;

  function halt() {
    window.cancelAnimationFrame(running);
    running = 0;
    play.textContent = "Move slowly";
  }

  function step(now) {
    if (began === undefined) { began = now; }
    var gone = (now - began) / 1000;
    var along = calm.matches
      ? from + Math.floor(gone / SECONDS_A_JUMP) * last / JUMPS
      : from + gone * last / SECONDS_ALL;
    var at = along <= last ? along : Math.max(0, 2 * last - along);
    if (along >= 2 * last) { at = 0; }
    var stop = Math.round(at);
    draw(at);
    if (stop !== shownStop) {
      shownStop = stop;
      slider.value = String(stop);
      read(stop);
    }
    if (along >= 2 * last) { halt(); stand(); return; }
    running = window.requestAnimationFrame(step);
  }

  play.addEventListener("click", function () {
    if (running) { halt(); stand(); return; }
    began = undefined;
    from = Number(slider.value) === last ? 0 : Number(slider.value);
    play.textContent = "Stop";
    running = window.requestAnimationFrame(step);
  });
  slider.addEventListener("input", function () {
    if (running) { halt(); }
    stand();
  });

  box.classList.add("live");
  box.querySelector(".motion-controls").hidden = false;
  draw(Number(slider.value));
  read(Number(slider.value));
})();
