// The first script of the app, by itself in a file that is small and imports nothing at run time: it looks whether the rest begins, and where
// that does not, says so and lets the marks out. It is loaded as a plain script, before everything else.
import words from "../../words/en/start.json" with { type: "json" };
import { fetchAnew } from "./fetch-anew.ts";
import { type Held, heldHere } from "./held-here.ts";

/** A slow tablet needs a second or two. */
const LATE_MS = 10_000;
/** What broke may still be on its way to saying so itself. */
const SOON_MS = 500;
const DATABASE = "evenhand";

/** The page asks for this very script once more, past what the device keeps, to fetch all the rest. */
const isFresh = (document.currentScript as HTMLScriptElement | null)?.src.endsWith("?fresh");
let isShown = false;

function look(): void {
  const root = document.getElementById("evenhand");
  const hasBegun = root?.firstElementChild && !root.querySelector(".begin");
  if (!root || hasBegun || isShown) return;
  isShown = true;
  void show(root);
}

async function show(root: HTMLElement): Promise<void> {
  const page = document.createElement("main");
  page.className = "plain-page";
  const said = paragraph("");
  said.setAttribute("role", "status");
  page.append(heading(words.title), paragraph(words.text), said);
  page.append(key(words.fresh, () => void again(said)));
  root.replaceChildren(page);
  const held = await heldHere(DATABASE).catch(() => []);
  if (held.length === 0) page.append(paragraph(words.nothing));
  for (const one of held)
    page.append(
      key(`${words.save} ${one.title} (${one.file.entries.length} ${words.marks})`, () =>
        save(one),
      ),
    );
}

async function again(said: HTMLElement): Promise<void> {
  said.textContent = words.fetching;
  const isDone = await fetchAnew({
    fetch: (...asked) => fetch(...asked),
    caches: globalThis.caches,
    workers: navigator.serviceWorker,
  });
  if (isDone) location.replace("/");
  else said.textContent = words["no-hub"];
}

function save({ title, file }: Held): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([JSON.stringify(file)], { type: "application/json" }));
  link.download = `${title.toLowerCase().replace(/[^a-z0-9]+/g, "-")}.scorebook.json`;
  link.click();
}
function heading(text: string): HTMLElement {
  const element = document.createElement("h1");
  element.textContent = text;
  return element;
}
function paragraph(text: string): HTMLElement {
  const element = document.createElement("p");
  element.textContent = text;
  return element;
}
function key(text: string, onPress: () => void): HTMLElement {
  const button = document.createElement("button");
  button.className = "key";
  button.textContent = text;
  button.addEventListener("click", onPress);
  return paragraphOf(button);
}
function paragraphOf(child: HTMLElement): HTMLElement {
  const element = paragraph("");
  element.append(child);
  return element;
}

if (isFresh)
  addEventListener("DOMContentLoaded", () => {
    look();
    const said = document.querySelector<HTMLElement>("[role=status]");
    if (said) void again(said);
  });
else {
  const soon = () => setTimeout(look, SOON_MS);
  // A script that is not one, or that cannot be fetched, says so to nobody but here.
  addEventListener("error", soon, true);
  addEventListener("unhandledrejection", soon);
  addEventListener("load", () => setTimeout(look, LATE_MS));
}
