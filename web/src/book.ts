// The Shop book takes a workbook that is dropped on the page.
const drop = document.querySelector<HTMLFormElement>("#drop");
const input = drop?.querySelector<HTMLInputElement>("input[type=file]");
if (drop && input) {
  const over = (on: boolean) => (e: DragEvent) => {
    if (!e.dataTransfer?.types.includes("Files")) return;
    e.preventDefault();
    drop.classList.toggle("over", on);
  };
  document.addEventListener("dragover", over(true));
  document.addEventListener("dragleave", (e) => { if (!e.relatedTarget) drop.classList.remove("over"); });
  document.addEventListener("drop", (e) => {
    over(false)(e);
    if (e.dataTransfer?.files.length) {
      input.files = e.dataTransfer.files;
      drop.requestSubmit();
    }
  });
  drop.addEventListener("submit", () => {
    const button = drop.querySelector("button");
    if (button) button.textContent = "Reading";
  });
}
