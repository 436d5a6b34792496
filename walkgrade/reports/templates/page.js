"use strict";
// Plays the moment of a link, and filters the items. The page reads well without it.
(function () {
  var audio = document.querySelector("#player audio");
  var LEAD_S = 0.4; // a breath before the words
  document.addEventListener("click", function (event) {
    var link = event.target.closest ? event.target.closest("a.play") : null;
    if (!link || !audio || event.ctrlKey || event.metaKey || event.shiftKey) { return; }
    event.preventDefault();
    audio.currentTime = Math.max(0, Number(link.dataset.at) / 1000 - LEAD_S);
    var started = audio.play();
    if (started) { started.catch(function () { document.querySelector("#player").focus(); }); }
    document.querySelectorAll("a.playing").forEach(function (old) { old.classList.remove("playing"); });
    link.classList.add("playing");
  });

  var form = document.querySelector("form.filter");
  if (form) {
    var boxes = Array.from(form.querySelectorAll("input"));
    var items = Array.from(document.querySelectorAll("li.item"));
    var told = form.querySelector("output");
    var hear = false;
    var apply = function () {
      var wanted = boxes.filter(function (box) { return box.checked; }).map(function (box) { return box.value; });
      var shown = 0;
      items.forEach(function (item) {
        item.hidden = hear ? !item.hasAttribute("data-hear") : wanted.indexOf(item.dataset.outcome) < 0;
        if (!item.hidden) { shown += 1; }
      });
      document.querySelectorAll("section.group").forEach(function (group) {
        group.hidden = !group.querySelector("li.item:not([hidden])");
      });
      told.textContent = shown + " of " + items.length + " items shown";
    };
    form.hidden = false;
    form.addEventListener("change", function () { hear = false; apply(); });
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    form.addEventListener("click", function (event) {
      var wish = event.target.dataset.show;
      if (!wish) { return; }
      hear = wish === "hear";
      boxes.forEach(function (box) {
        box.checked = wish === "all" || (wish === "open" ? box.value !== "complete" : box.value === "needs listening");
      });
      apply();
    });
  }

  // A link to a hidden item must still arrive.
  window.addEventListener("hashchange", function () {
    var goal = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (goal && goal.hidden) { goal.hidden = false; goal.closest("section.group").hidden = false; goal.scrollIntoView(); }
  });
})();
