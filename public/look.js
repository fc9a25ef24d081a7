// Before the first paint: the look that was last chosen, so that a red-dimmed lamp is not answered by a white flash.
// The app keeps the choice under this name: "sun", "overcast" or "lamp".
try {
  const look = localStorage.getItem("hingeline-look");
  const paper = { sun: "#FFFFFF", overcast: "#DCE2DE", lamp: "#080000" }[look];
  if (paper) {
    document.documentElement.dataset.look = look;
    document.querySelector('meta[name="theme-color"]').content = paper;
  }
} catch (_) {
  // Storage is refused in some private windows: the sun look stays.
}
