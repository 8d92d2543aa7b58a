/** The rack: photos dropped anywhere on it start a new card. */

const rack = document.querySelector("[data-rack]");
for (const kind of ["dragover", "drop"]) {
  rack?.addEventListener(kind, (event) => {
    if (!(event instanceof DragEvent) || event.dataTransfer === null) return;
    event.preventDefault();
    if (kind === "drop" && event.dataTransfer.files.length > 0) start(event.dataTransfer.files);
  });
}

/** @param {FileList} files */
async function start(files) {
  const form = new FormData();
  for (const file of files) form.append("photos", file);
  const response = await fetch("/new", { method: "POST", body: form });
  if (response.ok) location.assign(response.url);
  else document.documentElement.replaceWith(new DOMParser().parseFromString(await response.text(), "text/html").documentElement);
}
