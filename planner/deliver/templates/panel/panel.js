/* What the controls' library leaves unsaid to a screen reader: the name of each slider's handle, the
   words of the picture, and that the answer is to be read out when it changes. */
(function () {
  "use strict";
  function set(element, name, value) {
    if (element && value && element.getAttribute(name) !== value) element.setAttribute(name, value);
  }
  function name() {
    document.querySelectorAll(".planner-panel .planner-control").forEach(function (control) {
      const label = control.querySelector("label");
      const words = label ? label.textContent.trim() : "";
      set(control.querySelector(".noUi-handle"), "aria-label", words);
      const number = control.querySelector(".widget-readout");
      set(number, "role", "textbox");
      set(number, "aria-label", words);
    });
    document.querySelectorAll(".planner-panel .planner-live .widget-html-content").forEach(
      function (region) {
        set(region, "role", "status");
        set(region, "aria-live", "polite");
        set(region, "aria-atomic", "true");
      }
    );
    document.querySelectorAll(".planner-panel").forEach(function (panel) {
      const words = panel.querySelector(".planner-alt .widget-html-content");
      const picture = panel.querySelector("img.planner-picture, .planner-picture img");
      set(picture, "alt", words ? words.textContent.trim() : "");
    });
  }
  let isDue = false;
  new MutationObserver(function () {
    if (isDue) return;
    isDue = true;
    requestAnimationFrame(function () { isDue = false; name(); });
  }).observe(document.body, { childList: true, subtree: true });
  name();
})();
