// Before the first paint: the look that was last chosen, so that a red-dimmed lamp is not answered by a white flash.
// The app sets `data-look` on the root ("sun", "overcast" or "lamp"); this file remembers it for the next start and
// gives the window's frame the same paper.
{
  const root = document.documentElement;
  const papers = { sun: "#FFFFFF", overcast: "#DCE2DE", lamp: "#080000" };
  const frame = () => {
    document.querySelector('meta[name="theme-color"]').content = papers[root.dataset.look] ?? papers.sun;
  };
  // Storage is refused in some private windows: every start is then in the sun look.
  const stored = (work) => {
    try {
      return work(localStorage);
    } catch {
      return null;
    }
  };

  const last = stored((store) => store.getItem("hingeline-look"));
  if (Object.hasOwn(papers, last ?? "")) root.dataset.look = last;
  frame();
  new MutationObserver(() => {
    stored((store) => store.setItem("hingeline-look", root.dataset.look));
    frame();
  }).observe(root, { attributes: true, attributeFilter: ["data-look"] });
}
