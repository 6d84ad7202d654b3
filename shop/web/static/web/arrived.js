// After a form was answered in place, put the reader where the news is: the refusal, or the title.
// Without this file, and without JavaScript at all, every page works: the answer is then a new page.

const news = '[role="alert"], [role="status"], h1';

document.addEventListener("htmx:afterSettle", (event) => {
  if (event.target.id !== "main") return;
  const found = event.target.querySelector(news);
  if (!found) return;
  found.setAttribute("tabindex", "-1");
  found.focus({ preventScroll: false });
});

// a second press while the first is still under way does nothing
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent && form.method === "post") event.preventDefault();
  form.dataset.sent = "yes";
  setTimeout(() => delete form.dataset.sent, 4000);
});
