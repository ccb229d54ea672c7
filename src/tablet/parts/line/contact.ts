/** A finger, pen or mouse coming down, in pixels of the window. */
export interface Contact {
  x: number;
  y: number;
  /** Half the wider side of the patch that touches; 0 where the device does not tell. */
  radius: number;
  touch: boolean;
}

interface Surroundings {
  width: number;
  height: number;
  /** Another contact is already down. */
  busy: boolean;
  /** The columns have just changed under the hand. */
  deaf: boolean;
}

const EDGE_PX = 8;
const PALM_PX = 40;
export const DEAF_MS = 350;

/**
 * Why a contact must not mark, or null when it may. Holding thumbs lie on the edge and palms are wide; a mouse and a pen have neither.
 */
export function refusal(
  contact: Contact,
  { width, height, busy, deaf }: Surroundings,
): "edge" | "palm" | "second" | "deaf" | null {
  if (busy) return "second";
  if (deaf) return "deaf";
  if (!contact.touch) return null;
  const { x, y, radius } = contact;
  if (x < EDGE_PX || y < EDGE_PX || x >= width - EDGE_PX || y >= height - EDGE_PX) return "edge";
  return radius > PALM_PX ? "palm" : null;
}
