// Boxes of the legend show and hide their marks. Without scripts, and on paper, all marks are there.
document.querySelectorAll("[data-layer]").forEach(function (box) {
  box.addEventListener("change", function () {
    document.querySelectorAll(".map .layer-" + box.dataset.layer).forEach(function (marks) {
      marks.classList.toggle("off", !box.checked);
    });
  });
});
