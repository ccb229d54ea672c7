import { render, screen } from "@testing-library/react";
import { afterEach, describe, expect, it } from "vitest";
import { ThisDevice } from "../../../src/tablet/parts/this-device.tsx";

const put = (what: "storage" | "standalone" | "serviceWorker", value: unknown) =>
  Object.defineProperty(navigator, what, { value, configurable: true });
afterEach(() => {
  for (const what of ["storage", "standalone", "serviceWorker"])
    Reflect.deleteProperty(navigator, what);
});
const says = (name: string) => screen.getByText(name).nextElementSibling?.textContent;

describe("what a device can be relied on for", () => {
  it("says what is weaker on a line that is not encrypted", async () => {
    render(<ThisDevice />);
    expect(await screen.findByText("The browser does not tell")).toBeTruthy();
    expect(says("Line to the hub")).toMatch(/^Not encrypted/);
    expect(says("Without the hub")).toMatch(/^Cannot be opened/);
    expect(says("What is kept here")).toMatch(/may clear it/);
  });

  it("says what an installed tablet keeps and has room for", async () => {
    put("serviceWorker", { controller: {} });
    put("storage", {
      persisted: async () => true,
      estimate: async () => ({ quota: 2.5e9, usage: 0 }),
    });
    render(<ThisDevice />);
    expect(await screen.findByText(/^2\.5\sGB$/)).toBeTruthy();
    expect(says("Without the hub")).toBe("Opens and marks on");
    expect(says("What is kept here")).toBe("Stays until somebody removes it");
  });

  it("warns of a full disk, and of a browser that forgets after seven days", async () => {
    put("standalone", false);
    put("storage", { persisted: async () => false, estimate: async () => ({ quota: 4e6 }) });
    render(<ThisDevice />);
    expect(await screen.findByText(/^4\sMB: too little/)).toBeTruthy();
    expect(says("What is kept here")).toMatch(/Put the app on the home screen/);
  });
});
