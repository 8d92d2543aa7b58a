/** The written reply: copied with one touch where the browser can. */

const copy = document.getElementById("copy");
if (copy instanceof HTMLButtonElement && "clipboard" in navigator) {
  copy.hidden = false;
  copy.addEventListener("click", async () => {
    const letter = document.getElementById(copy.dataset["copy"] ?? "");
    await navigator.clipboard.writeText(letter?.textContent ?? "");
    const status = document.getElementById("status");
    if (status !== null) status.textContent = "The text is copied.";
  });
}
