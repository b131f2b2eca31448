"use strict";
(function () {
  const all = (selector) => Array.from(document.querySelectorAll(selector));
  const one = (selector) => document.querySelector(selector);
  const figures = all("figure.view"), ways = all("input[name=way]"), buttons = all("button[data-finding]");
  const slider = one("#through"), shown = one("#shown"), bar = one("#bar");
  const STOP = 10;
  let pinned = null;

  // What is shown: a way of looking, and how far through it.

  function way() { return ways.find((each) => each.checked).value; }

  function top() {
    const layers = figures.filter((each) => each.dataset.way === way());
    return layers[layers.length > 1 ? Math.round(slider.value / STOP) : 0];
  }

  function draw() {
    const through = Number(slider.value) / STOP, chosen = way();
    const layers = figures.filter((each) => each.dataset.way === chosen);
    const front = top();
    figures.forEach((each) => {
      const layer = layers.indexOf(each);
      const left = Math.min(1, Math.max(0, layer + 1 - through));
      each.classList.toggle("chosen", layer >= 0);
      each.classList.toggle("passed", layer >= 0 && each !== front);
      each.setAttribute("aria-hidden", String(each !== front));
      each.style.opacity = layer >= 0 && layer < layers.length - 1 ? String(left) : "";
      each.style.zIndex = String(layers.length - layer);
    });
    slider.disabled = layers.length === 1;
    slider.setAttribute("aria-valuetext", howFar(through, layers));
    say(front.querySelector("figcaption").textContent);
  }

  function say(words) {
    const number = pinned === null ? "" : String(Number(pinned) + 1);
    if (shown.dataset.said === words + number) { return; }
    shown.dataset.said = words + number;
    shown.textContent = words;
    if (number) {
      const link = shown.appendChild(document.createElement("a"));
      link.href = "#finding-" + number;
      link.textContent = "back to finding " + number;
    }
  }

  function howFar(through, layers) {
    const at = Math.min(Math.floor(through), layers.length - 1), rest = Math.round((through - at) * 100);
    const name = layers[at].dataset.layer;
    return rest && layers[at + 1] ? rest + " % from " + name + " to " + layers[at + 1].dataset.layer : name;
  }

  function show(figure) {
    const layers = figures.filter((each) => each.dataset.way === figure.dataset.way);
    ways.forEach((each) => { each.checked = each.value === figure.dataset.way; });
    if (layers.length > 1) { slider.value = layers.indexOf(figure) * STOP; }
  }

  // Findings and their places.

  function spots(finding) { return all('.spot[data-finding="' + finding + '"]'); }

  function mark(finding) {
    all(".on").forEach((each) => each.classList.remove("on"));
    if (finding !== null) {
      const places = spots(finding), hosts = places.map((each) => each.closest("figure"));
      places.forEach((each) => each.classList.add("on"));
      one('li[data-finding="' + finding + '"]').classList.add("on");
      if (hosts.length && !hosts.includes(top())) { show(hosts[0]); }
    }
    draw();
  }

  function pin(finding) {
    pinned = finding;
    buttons.forEach((each) => each.setAttribute("aria-pressed", String(each.dataset.finding === finding)));
    mark(finding);
  }

  buttons.forEach((button) => {
    const finding = button.dataset.finding, entry = button.closest("li");
    button.addEventListener("click", () => {
      pin(pinned === finding ? null : finding);
      if (pinned !== null) { one("#stage").scrollIntoView({ block: "nearest" }); }
    });
    // A press gives focus too; were the page to move then, the release would miss the button.
    button.addEventListener("focus", () => { if (button.matches(":focus-visible")) { mark(finding); } });
    button.addEventListener("blur", () => mark(pinned));
    entry.addEventListener("pointerenter", (event) => { if (event.pointerType === "mouse") { mark(finding); } });
    entry.addEventListener("pointerleave", (event) => { if (event.pointerType === "mouse") { mark(pinned); } });
  });
  all(".spot").forEach((spot) => spot.addEventListener("click", () => {
    pin(spot.dataset.finding);
    document.getElementById("finding-" + (Number(spot.dataset.finding) + 1)).scrollIntoView({ block: "nearest" });
  }));

  // The strip says under it what a bar is; a finger cannot hover.

  const meaning = bar.textContent;
  all(".strip rect").forEach((each) => {
    const title = each.querySelector("title");
    ["pointerenter", "click"].forEach((kind) => each.addEventListener(kind, () => {
      bar.textContent = title ? title.textContent : meaning;
    }));
  });

  // What is too wide for the window scrolls by keys too.

  function reach() {
    all(".strip, .wide").forEach((each) => {
      if (each.scrollWidth > each.clientWidth) { each.tabIndex = 0; } else { each.removeAttribute("tabindex"); }
    });
  }

  // Start.

  window.addEventListener("resize", reach);
  all("details").forEach((each) => each.addEventListener("toggle", reach));
  reach();

  ways.forEach((each) => each.addEventListener("change", draw));
  slider.addEventListener("input", draw);
  document.body.classList.add("scripted");
  ways[0].checked = true;
  slider.value = 0;
  draw();
}());
