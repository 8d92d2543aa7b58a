/** The telephone end: says which photos were dropped. Everything else is the form itself. */

const photos = document.getElementById("photos");
const chosen = document.getElementById("photos-chosen");
photos?.addEventListener("change", () => {
  if (!(photos instanceof HTMLInputElement) || chosen === null) return;
  const names = [...(photos.files ?? [])].map((file) => file.name);
  chosen.textContent = names.length === 0 ? "" : `${names.length} ${names.length === 1 ? "photo" : "photos"}: ${names.join(", ")}`;
});
