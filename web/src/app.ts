// Goes with every sheet. htmx swaps lists while filters change and asks for progress; all else works without script.
import "htmx.org";

// A swapped list announces how many rows it holds, for those who do not see it change.
document.addEventListener("htmx:afterSwap", (e) => {
  const target = (e as CustomEvent<{ target: HTMLElement }>).detail.target;
  const says = target.querySelector("[data-count]")?.textContent;
  const live = document.getElementById("live");
  if (says && live) live.textContent = says;
});

// Escape folds the list of sheets on narrow screens.
document.addEventListener("keydown", (e) => {
  const fold = document.querySelector<HTMLDetailsElement>("details.fold[open]");
  if (e.key !== "Escape" || !fold) return;
  fold.open = false;
  fold.querySelector("summary")?.focus();
});

// A button that removes asks once before it does.
document.addEventListener("click", (e) => {
  const sure = (e.target as HTMLElement).closest<HTMLElement>("[data-sure]");
  if (sure && !confirm(sure.dataset.sure)) e.preventDefault();
});
