// What the scripts of the planning view and of the rack share: looking things up on the page, and asking the program.
export const $ = (selector, within = document) => within.querySelector(selector);
export const $$ = (selector, within = document) => [...within.querySelectorAll(selector)];
export const SILENT = "The page's program does not answer. Is it still running on the computer?";
export const LARGEST = 2_900_000; // a file in the form it is sent in, and what stands around it, is at most 4 MB

const token = $('meta[name="stripplan-token"]').content;

// Ask the program; without a body it is asked for news. What is no JSON, or no answer at all, is an error.
export async function send(path, body, more = {}) {
  const answer = await fetch(path, {
    method: body === undefined ? "GET" : "POST",
    headers: { "content-type": "application/json", accept: "application/json", "x-stripplan-token": token },
    body: body === undefined ? undefined : JSON.stringify(body),
    ...more,
  });
  return { ok: answer.ok, ...(await answer.json()) };
}

// A file in the form in which it is sent.
export async function base64(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += 8192) text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  return btoa(text);
}

// An element with attributes and what is in it; texts stay texts.
export function made(name, attributes = {}, ...inside) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) if (value !== undefined && value !== false) element.setAttribute(key, value === true ? "" : value);
  element.append(...inside);
  return element;
}

// A dialog that is answered by one of its buttons: its value, or "" where it is closed without an answer.
export function answered(dialog) {
  return new Promise((resolve) => {
    dialog.returnValue = "";
    dialog.addEventListener("close", () => resolve(dialog.returnValue), { once: true });
    dialog.showModal();
  });
}
