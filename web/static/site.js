// What scripts add: live figures that follow a control, focus on the result or
// the error summary, and a form that is sent once.

document.documentElement.classList.add("scripted");

document.querySelector("[data-focus]")?.focus({ preventScroll: false });

for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", (event) => {
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "yes";
  });
}
// A page that comes back from the browser's memory may be sent again.
addEventListener("pageshow", (event) => {
  if (event.persisted) for (const form of document.querySelectorAll("form[data-once]")) delete form.dataset.sent;
});

for (const form of document.querySelectorAll("figure.live form.controls")) live(form);

// live redraws a figure when a control moves. One request is under way at a
// time; while it is, only the newest state waits.
function live(form) {
  const state = form.closest("figure").querySelector("[data-figure]");
  let busy = false;
  let waiting = false;

  async function redraw() {
    if (busy) {
      waiting = true;
      return;
    }
    busy = true;
    const open = state.querySelector("details")?.open;
    try {
      const query = new URLSearchParams(new FormData(form));
      const answer = await fetch(`${state.dataset.figure}?${query}`);
      if (answer.ok) {
        swap(state, await answer.text(), open);
      }
    } catch {
      // The connection is gone: the drawing stays as it is.
    }
    busy = false;
    if (waiting) {
      waiting = false;
      redraw();
    }
  }

  form.addEventListener("input", (event) => {
    const control = event.target;
    const output = form.querySelector(`output[for="${control.id}"]`);
    if (output) output.textContent = `${Number(control.value).toLocaleString("en-US")}${control.dataset.unit ? "\u00a0" + control.dataset.unit : ""}`;
    redraw();
  });
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    redraw();
  });
}

// swap replaces drawing and table, and only the text of the sentence, so that
// a screen reader hears the change.
function swap(state, html, open) {
  const fresh = new DOMParser().parseFromString(`<div>${html}</div>`, "text/html").body.firstElementChild;
  for (const part of [".drawing", "details"]) {
    state.querySelector(part).replaceWith(document.adoptNode(fresh.querySelector(part)));
  }
  const details = state.querySelector("details");
  if (details && open) details.open = true;
  state.querySelector(".see").textContent = fresh.querySelector(".see").textContent;
}
