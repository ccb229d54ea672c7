import { type PointerEvent, useEffect, useRef, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";

/** Between which lanes of which wave somebody would come to stand; `gap` 0 is left of everybody. */
interface Target {
  wave: number;
  gap: number;
}
interface Dragged {
  candidate: CandidateId;
  pointer: number;
  /** Where the finger is, in the window; px. */
  x: number;
  y: number;
  /** False until it has moved far enough to be no tap. */
  isMoving: boolean;
  target: Target | undefined;
}
export interface LaneDrag {
  dragged: Dragged | undefined;
  /** What the grip of a candidate listens to. */
  grip: (candidate: CandidateId) => {
    onPointerDown: (event: PointerEvent<HTMLElement>) => void;
    onPointerMove: (event: PointerEvent<HTMLElement>) => void;
    onPointerUp: (event: PointerEvent<HTMLElement>) => void;
    onPointerCancel: () => void;
  };
}

/** A hand that rests trembles this much. px */
const SLACK = 6;
/** This near the window's upper or lower edge the page comes to meet the finger. px */
const EDGE = 72;

/**
 * Drags a candidate by finger, pen or mouse to another lane, of this wave or another. Lanes are found by `data-wave` and `data-lane`.
 * Escape, or lifting where there is no lane, leaves everything as it was. The keyboard has keys of its own.
 */
export function useLaneDrag(
  onDrop: (candidate: CandidateId, wave: number, gap: number) => void,
): LaneDrag {
  const [dragged, setDragged] = useState<Dragged>();
  const origin = useRef({ x: 0, y: 0 });

  const isDragging = dragged?.isMoving === true;
  const at = useRef(0);
  at.current = dragged?.y ?? 0;
  useEffect(() => {
    if (!isDragging) return;
    const cancel = (event: KeyboardEvent) => event.key === "Escape" && setDragged(undefined);
    addEventListener("keydown", cancel);
    const scroll = setInterval(() => {
      if (at.current < EDGE) scrollBy(0, -14);
      else if (at.current > innerHeight - EDGE) scrollBy(0, 14);
    }, 16);
    return () => {
      removeEventListener("keydown", cancel);
      clearInterval(scroll);
    };
  }, [isDragging]);

  return {
    dragged: isDragging ? dragged : undefined,
    grip: (candidate) => ({
      onPointerDown(event) {
        if (event.button !== 0 || !event.isPrimary) return;
        event.currentTarget.setPointerCapture?.(event.pointerId);
        const { clientX: x, clientY: y, pointerId: pointer } = event;
        origin.current = { x, y };
        setDragged({ candidate, pointer, x, y, isMoving: false, target: undefined });
      },
      onPointerMove(event) {
        if (dragged?.candidate !== candidate || event.pointerId !== dragged.pointer) return;
        const { clientX: x, clientY: y } = event;
        const far = Math.hypot(x - origin.current.x, y - origin.current.y);
        if (!dragged.isMoving && far < SLACK) return;
        setDragged({ ...dragged, x, y, isMoving: true, target: targetAt(x, y) });
      },
      onPointerUp(event) {
        if (dragged?.candidate !== candidate || event.pointerId !== dragged.pointer) return;
        setDragged(undefined);
        const target = dragged.isMoving ? targetAt(event.clientX, event.clientY) : undefined;
        if (target) onDrop(candidate, target.wave, target.gap);
      },
      onPointerCancel: () => setDragged(undefined),
    }),
  };
}

/** The gap nearest to a point: left or right of the lane it is over. */
function targetAt(x: number, y: number): Target | undefined {
  const lane = document.elementFromPoint(x, y)?.closest<HTMLElement>("[data-lane]");
  if (!lane) return undefined;
  const { left, width } = lane.getBoundingClientRect();
  const index = Number(lane.dataset.lane);
  return { wave: Number(lane.dataset.wave), gap: x < left + width / 2 ? index : index + 1 };
}
