"use strict";
(function () {
  const stage = document.getElementById("stage");
  const views = Array.from(stage.querySelectorAll("figure.view"));
  const radios = Array.from(document.querySelectorAll("input[name=view]"));
  const through = document.getElementById("through");
  const cover = document.getElementById("over-cavity");

  function show(id) {
    views.forEach((view) => view.classList.toggle("chosen", view.id === id));
    radios.forEach((radio) => { radio.checked = radio.value === id; });
  }

  function mark(button) {
    const on = button.getAttribute("aria-pressed") !== "true";
    document.querySelectorAll("button[data-finding]").forEach((each) => each.setAttribute("aria-pressed", "false"));
    document.querySelectorAll(".spot.on").forEach((each) => each.classList.remove("on"));
    if (!on) { return; }
    button.setAttribute("aria-pressed", "true");
    const spots = Array.from(document.querySelectorAll('.spot[data-finding="' + button.dataset.finding + '"]'));
    spots.forEach((each) => each.classList.add("on"));
    const seen = spots.find((each) => each.closest("figure.view.chosen"));
    if (!seen && spots.length) { show(spots[0].closest("figure.view").id); }
    stage.scrollIntoView({ block: "nearest" });
  }

  radios.forEach((radio) => radio.addEventListener("change", () => show(radio.value)));
  document.querySelectorAll("button[data-finding]").forEach((button) => {
    button.addEventListener("click", () => mark(button));
  });
  if (through && cover) {
    through.addEventListener("input", () => { cover.style.opacity = String(1 - through.value / 100); });
  }
  document.body.classList.add("chosen-only");
  show(radios[0].value);
}());
