export type Offer = "example" | "start" | "join" | "chief" | "pack" | "back";

/**
 * What can be begun here, the likeliest first and largest.
 * An empty hub offers the example before all; where a test is planned already, the next device comes to join it.
 * Without a hub nobody can join. A device that has no chief's key yet may show one, to pick up what the hub holds. A copy of another hub is brought back by the chief of an empty one. The example is opened on an empty hub only: beside a real test, nobody becomes chief by asking for it.
 */
export function offers(
  hub: "none" | "empty" | "used",
  { hasGradings, isChief }: { hasGradings: boolean; isChief: boolean },
): { offer: Offer; isFirst: boolean }[] {
  const order: Offer[] =
    hub === "empty"
      ? ["example", "start", "join", "pack", ...(isChief ? (["back"] as const) : [])]
      : hub === "used"
        ? isChief
          ? ["start", "join", "pack"]
          : ["join", "start", "chief", "pack"]
        : ["start", "pack"];
  // Next to a belt test that is here already, or that the hub holds for this chief, nothing shouts.
  const isQuiet = hasGradings || (hub === "used" && isChief);
  return order.map((offer, index) => ({ offer, isFirst: index === 0 && !isQuiet }));
}
