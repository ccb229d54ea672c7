export type Offer = "example" | "start" | "join" | "pack";

/**
 * What can be begun here, the likeliest first and largest.
 * An empty hub offers the example before all; where a test is planned already, the next device comes to join it.
 * Without a hub nobody can join. The example is opened on an empty hub only: beside a real test, nobody becomes chief by asking for it.
 */
export function offers(
  hub: "none" | "empty" | "used",
  hasGradings: boolean,
): { offer: Offer; isFirst: boolean }[] {
  const order: Offer[] =
    hub === "empty"
      ? ["example", "start", "join", "pack"]
      : hub === "used"
        ? ["join", "start", "pack"]
        : ["start", "pack"];
  // Next to a belt test that is here already, nothing shouts.
  return order.map((offer, index) => ({ offer, isFirst: index === 0 && !hasGradings }));
}
