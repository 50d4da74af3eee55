// Goes with every sheet. htmx swaps lists while filters change and asks for progress; all else works without script.
import "htmx.org";

// A swapped list announces how many rows it holds, for those who do not see it change.
document.addEventListener("htmx:afterSettle", () => {
  const says = document.querySelector("#list [data-count]")?.textContent;
  const live = document.getElementById("live");
  if (says && live) live.textContent = says;
});

// Fields that choose nothing stay out of the address.
document.addEventListener("htmx:configRequest", (e) => {
  const { formData, verb } = (e as CustomEvent<{ formData: FormData; verb: string }>).detail;
  if (verb !== "get") return;
  for (const name of [...formData.keys()]) if (formData.get(name) === "") formData.delete(name);
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
