import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import type { ComponentProps } from "react";
import { expect, it, vi } from "vitest";
import { TopBand } from "../../../../src/tablet/parts/line/top-band.tsx";

const user = userEvent.setup();
const aBand = (changes: Partial<ComponentProps<typeof TopBand>> = {}) => ({
  title: "Rising block",
  alias: "age-uke",
  side: "left" as const,
  counts: { done: 6, total: 6, running: false },
  saved: "saved" as const,
  onStop: vi.fn(),
  onFlip: vi.fn(),
  onNext: vi.fn(),
  onCalls: vi.fn(),
  onBackToNow: vi.fn(),
  ...changes,
});

it("names the call, its side and its counts", () => {
  const { rerender } = render(<TopBand {...aBand()} />);
  expect(screen.getByRole("heading", { level: 1, name: "Rising block" })).toBeTruthy();
  expect(screen.getByText("age-uke")).toBeTruthy();
  expect(screen.getByText("left side")).toBeTruthy();
  expect(screen.getByText("six counts done")).toBeTruthy();
  rerender(<TopBand {...aBand({ counts: { done: 4, total: 6, running: true } })} />);
  expect(screen.getByText("count 4 of 6")).toBeTruthy();
});

it("says when a mark is not saved yet, and what not to do", () => {
  const { rerender } = render(<TopBand {...aBand()} />);
  expect(screen.getByText("saved here")).toBeTruthy();
  rerender(<TopBand {...aBand({ saved: "waiting" })} />);
  expect(screen.getByText("Not saved yet. Keep going, do not close.")).toBeTruthy();
  expect(screen.queryByText("saved here")).toBeNull();
});

it("stops with one tap", async () => {
  const band = aBand();
  render(<TopBand {...band} />);
  await user.click(screen.getByRole("button", { name: "STOP, someone is hurt" }));
  expect(band.onStop).toHaveBeenCalledOnce();
});

it("shows the next call as a card, and changes to it on a tap", async () => {
  const band = aBand({ next: "low block, right" });
  render(<TopBand {...band} />);
  await user.click(
    screen.getByRole("button", { name: "Next: low block, right. Change to it now." }),
  );
  expect(band.onNext).toHaveBeenCalledOnce();
});

it("counts what is still open, one call or several", async () => {
  const band = aBand({ stillOpen: { call: "Low block, right", calls: 1, blank: 4 } });
  const { rerender } = render(<TopBand {...band} />);
  await user.click(screen.getByRole("button", { name: "Still open Low block, right · 4 blank" }));
  expect(band.onCalls).toHaveBeenCalledOnce();
  rerender(<TopBand {...band} stillOpen={{ call: "", calls: 3, blank: 11 }} />);
  expect(screen.getByRole("button", { name: "Still open 3 calls · 11 blank" })).toBeTruthy();
});

it("turns the lanes and says how the children stand", async () => {
  const band = aBand();
  const { rerender } = render(<TopBand {...band} />);
  await user.click(screen.getByRole("button", { name: "Flip lanes, now facing you" }));
  expect(band.onFlip).toHaveBeenCalledOnce();
  rerender(<TopBand {...band} flipped />);
  expect(screen.getByRole("button", { name: "Flip lanes, now back to you" })).toBeTruthy();
});

it("marks an earlier call as such and leads back to the floor", async () => {
  const band = aBand({ earlier: true });
  render(<TopBand {...band} />);
  expect(screen.getByText("Earlier call")).toBeTruthy();
  expect(screen.queryByText("six counts done")).toBeNull();
  await user.click(screen.getByRole("button", { name: "Back to now" }));
  expect(band.onBackToNow).toHaveBeenCalledOnce();
});
