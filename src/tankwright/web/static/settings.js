// Settings are saved at once: a choice is sent as soon as it is made, and the answer repaints the page in place.

import { repaint, say } from "./core.js";

document.addEventListener("change", (event) => {
  const field = event.target;
  if (field.matches("input[type=file][data-most]")) {
    const large = field.files[0]?.size > Number(field.dataset.most);
    field.setCustomValidity(large ? field.dataset.tooLarge : "");
    if (large) field.reportValidity();
    return;
  }
  const form = field.form;
  if (form?.matches("form[data-once]") && form.dataset.once !== "asked") form.requestSubmit();
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.matches("form[data-once]") || event.defaultPrevented) return;
  event.preventDefault();
  if (form.dataset.sending !== undefined) return;
  form.dataset.sending = "";
  try {
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(new FormData(form)), headers: { accept: "text/html" } });
    if (!answer.headers.get("content-type").startsWith("text/html")) return say(await answer.text());
    if (new URL(answer.url).pathname === "/login") return location.assign("/settings");
    const html = await answer.text();
    for (const field of form.elements) if (field.type === "password") field.value = "";
    if (answer.ok) for (const field of form.elements) if (field.type === "text") field.blur();
    repaint(html);
    const told = document.querySelector(".kept, .settings .error");
    if (told) say(told.textContent);
  } catch {
    form.submit(); // the line is cut: the browser says so, and keeps what was typed on the way back
  } finally {
    delete form.dataset.sending;
  }
});
