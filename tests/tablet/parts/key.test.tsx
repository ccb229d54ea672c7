import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { expect, it, vi } from "vitest";
import { Key } from "../../../src/tablet/parts/key.tsx";
import { StopKey } from "../../../src/tablet/parts/stop-key.tsx";

const user = userEvent.setup();

it("is pressed with one tap, and reads both its lines", async () => {
  const press = vi.fn();
  render(
    <Key kind="seal" under="12 blank" onClick={press}>
      Rest of line meets
    </Key>,
  );
  await user.click(screen.getByRole("button", { name: "Rest of line meets 12 blank" }));
  expect(press).toHaveBeenCalledOnce();
});

it("tells whether a toggle is down, and says nothing of that when it is no toggle", () => {
  render(
    <>
      <Key pressed>Stops short</Key>
      <Key pressed={false}>Over-locks</Key>
      <Key>Undo</Key>
    </>,
  );
  expect(screen.getByRole("button", { pressed: true })).toHaveProperty(
    "textContent",
    "Stops short",
  );
  expect(screen.getByRole("button", { pressed: false })).toHaveProperty(
    "textContent",
    "Over-locks",
  );
  expect(screen.getByText("Undo").closest("button")?.hasAttribute("aria-pressed")).toBe(false);
});

it("cannot be pressed while disabled", async () => {
  const press = vi.fn();
  render(
    <Key disabled onClick={press}>
      Lock
    </Key>,
  );
  await user.click(screen.getByRole("button", { name: "Lock" }));
  expect(press).not.toHaveBeenCalled();
});

it("stops the floor with one tap and says why it is there", async () => {
  const stop = vi.fn();
  render(<StopKey onStop={stop} />);
  await user.click(screen.getByRole("button", { name: "STOP, someone is hurt" }));
  expect(stop).toHaveBeenCalledOnce();
});
