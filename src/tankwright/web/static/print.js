// The button that opens the browser's print; and a choice is shown at once.

const ready = () => {
  for (const button of document.querySelectorAll("[data-print]")) button.hidden = false;
};
document.addEventListener("click", (event) => event.target.closest("[data-print]") && window.print());
document.addEventListener("change", (event) => event.target.form?.id === "what" && event.target.form.requestSubmit());
document.addEventListener("repainted", ready);
ready();
