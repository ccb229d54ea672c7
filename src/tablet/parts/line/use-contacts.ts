import { type RefObject, useEffect, useLayoutEffect, useRef } from "react";
import { DEAF_MS, refusal } from "./contact.ts";

interface ContactHandlers<Target> {
  /** What lies under a point, or null. */
  target: (event: MouseEvent) => Target | null;
  same: (a: Target | null, b: Target | null) => boolean;
  press: (target: Target) => void;
}

/** How long after a contact its own click may still arrive. */
const CLICK_MS = 700;

const keyOf = (element: EventTarget | null): Element | null =>
  element instanceof Element ? element.closest("button") : null;

/** The key a contact left from. A touch reports the element it came down on, so the point is asked again. */
const keyUnder = (event: PointerEvent): Element | null =>
  keyOf(document.elementFromPoint?.(event.clientX, event.clientY) ?? event.target);

/**
 * One listener for the whole board. A target is pressed when a contact that may mark comes down and goes up on it.
 * Keys inside keep their own click, which is swallowed when the contact was refused, or when the browser gave the click
 * to another key than the one pressed and left: for fat fingers it picks a neighbour, and a near miss must mark nothing.
 * A click with no contact before it comes from a screen reader or a switch, and presses what it clicks.
 *
 * @param change  anything that differs once the columns have changed: then the board is deaf for a moment, and a contact begun before is dropped.
 */
export function useContacts<Target>(
  root: RefObject<HTMLElement | null>,
  change: string,
  handlers: ContactHandlers<Target>,
): void {
  const latest = useRef(handlers);
  const down = useRef<{ pointer: number; target: Target | null; key: Element | null } | null>(null);
  const deafUntil = useRef(0);
  const seen = useRef(change);

  useLayoutEffect(() => {
    latest.current = handlers;
    if (seen.current === change) return;
    seen.current = change;
    down.current = null;
    deafUntil.current = performance.now() + DEAF_MS;
  });

  useEffect(() => {
    const board = root.current;
    if (!board) return;
    let last: { key: Element | null; at: number } | null = null;
    const refused = new Set<number>();

    const onDown = (event: PointerEvent) => {
      const why = refusal(
        {
          x: event.clientX,
          y: event.clientY,
          radius: Math.max(event.width, event.height) / 2,
          touch: event.pointerType === "touch",
        },
        {
          width: window.innerWidth,
          height: window.innerHeight,
          // The first of several fingers is never "second": an earlier one left without telling.
          busy:
            down.current !== null && down.current.pointer !== event.pointerId && !event.isPrimary,
          deaf: performance.now() < deafUntil.current,
        },
      );
      if (why !== null) refused.add(event.pointerId);
      else {
        refused.delete(event.pointerId);
        down.current = {
          pointer: event.pointerId,
          target: latest.current.target(event),
          key: keyOf(event.target),
        };
      }
    };
    const onUp = (event: PointerEvent) => {
      const wasRefused = refused.delete(event.pointerId);
      last = { key: null, at: performance.now() };
      const begun = down.current;
      // Refused, or its board changed while it was down: whatever it meant is gone.
      if (wasRefused || begun?.pointer !== event.pointerId) return;
      down.current = null;
      if (begun.target !== null) {
        if (!latest.current.same(begun.target, latest.current.target(event))) return;
        last.key = begun.key;
        latest.current.press(begun.target);
      } else if (begun.key !== null && begun.key === keyUnder(event)) last.key = begun.key;
    };
    const onCancel = (event: PointerEvent) => {
      refused.delete(event.pointerId);
      if (down.current?.pointer === event.pointerId) down.current = null;
    };
    const onClick = (event: MouseEvent) => {
      const contact = last && performance.now() - last.at < CLICK_MS ? last : null;
      last = null;
      if (contact && (contact.key === null || contact.key !== keyOf(event.target))) {
        event.preventDefault();
        event.stopPropagation();
      } else if (!contact) {
        const target = latest.current.target(event);
        if (target !== null) latest.current.press(target);
      }
    };
    // A contact that began here may end anywhere.
    board.addEventListener("pointerdown", onDown);
    window.addEventListener("pointerup", onUp);
    window.addEventListener("pointercancel", onCancel);
    board.addEventListener("click", onClick, true);
    return () => {
      board.removeEventListener("pointerdown", onDown);
      window.removeEventListener("pointerup", onUp);
      window.removeEventListener("pointercancel", onCancel);
      board.removeEventListener("click", onClick, true);
    };
  }, [root]);
}
