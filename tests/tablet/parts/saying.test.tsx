import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { beforeAll, expect, it, vi } from "vitest";
import { Dialog } from "../../../src/tablet/parts/dialog.tsx";
import { EmptyState } from "../../../src/tablet/parts/empty-state.tsx";
import { Key } from "../../../src/tablet/parts/key.tsx";
import { Notice } from "../../../src/tablet/parts/notice.tsx";
import { PageBand } from "../../../src/tablet/parts/page-band.tsx";
import { Progress } from "../../../src/tablet/parts/progress.tsx";

const user = userEvent.setup();

// jsdom knows the dialog element but cannot open it.
beforeAll(() => {
  HTMLDialogElement.prototype.showModal ??= function (this: HTMLDialogElement) {
    this.open = true;
  };
  HTMLDialogElement.prototype.close ??= function (this: HTMLDialogElement) {
    this.open = false;
  };
});

it("speaks an urgent notice at once, any other in its turn", () => {
  render(
    <>
      <Notice kind="urgent" title="Stop. Someone is hurt." />
      <Notice title="A new version is ready" keys={<Key>Take it</Key>} />
    </>,
  );
  expect(screen.getByRole("alert").textContent).toBe("Stop. Someone is hurt.");
  expect(within(screen.getByRole("status")).getByRole("button", { name: "Take it" })).toBeTruthy();
});

it("counts progress in its own things, and claims nothing when nobody knows", () => {
  const { rerender } = render(<Progress what="Reading candidates" done={9} total={24} />);
  const bar = screen.getByRole("progressbar", { name: "Reading candidates" });
  expect(bar.getAttribute("aria-valuenow")).toBe("9");
  expect(bar.getAttribute("aria-valuemax")).toBe("24");
  expect(screen.getByText("9 of 24")).toBeTruthy();
  rerender(<Progress what="Reading candidates" done={0} />);
  expect(screen.getByRole("progressbar").hasAttribute("aria-valuenow")).toBe(false);
});

it("asks in a dialog that bears its question, and closes by its own key", async () => {
  const close = vi.fn();
  const { rerender } = render(
    <Dialog open={false} title="Lock basics?" onClose={close}>
      Two cells are blank.
    </Dialog>,
  );
  expect(screen.queryByText("Two cells are blank.")).toBeNull();
  rerender(
    <Dialog open title="Lock basics?" closeWord="Not yet" onClose={close} keys={<Key>Lock</Key>}>
      Two cells are blank.
    </Dialog>,
  );
  const dialog = screen.getByRole("dialog", { name: "Lock basics?" });
  expect(within(dialog).getByRole("button", { name: "Lock" })).toBeTruthy();
  await user.click(within(dialog).getByRole("button", { name: "Not yet" }));
  expect(close).toHaveBeenCalledOnce();
});

it("says what an empty place waits for", () => {
  render(
    <EmptyState title="No wave is called yet" keys={<Key>Make waves</Key>}>
      The chief examiner makes waves.
    </EmptyState>,
  );
  expect(screen.getByRole("heading", { name: "No wave is called yet" })).toBeTruthy();
  expect(screen.getByRole("button", { name: "Make waves" })).toBeTruthy();
});

it("heads a page with its title", () => {
  render(<PageBand title="Wave 2" about="24 candidates" keys={<Key>Print</Key>} />);
  expect(screen.getByRole("banner")).toBeTruthy();
  expect(screen.getByRole("heading", { level: 1, name: "Wave 2" })).toBeTruthy();
  expect(screen.getByText("24 candidates")).toBeTruthy();
});
