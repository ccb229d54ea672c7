import "fake-indexeddb/auto";
import { cleanup, configure } from "@testing-library/react";
import { afterEach } from "vitest";

// A machine may be busy: what comes at once elsewhere takes a second there.
configure({ asyncUtilTimeout: 5_000 });

afterEach(cleanup);

// jsdom has the dialog element, but not its opening and closing.
HTMLDialogElement.prototype.showModal ??= function (this: HTMLDialogElement) {
  this.setAttribute("open", "");
};
HTMLDialogElement.prototype.close ??= function (this: HTMLDialogElement) {
  this.removeAttribute("open");
  this.dispatchEvent(new Event("close"));
};
