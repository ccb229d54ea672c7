/**
 * The lanes of a wave after somebody was put between two of them.
 *
 * @param gap  0 is left of everybody, `lanes.length` right of everybody, counted in `lanes` as they are now.
 * @returns a new order; somebody who stands here already leaves the old lane, somebody new makes one lane more.
 * @example
 * laneOrder(["ada", "ben", "cy"], "ada", 2); // => ["ben", "ada", "cy"]
 * laneOrder(["ada", "ben"], "dot", 0); // => ["dot", "ada", "ben"]
 */
export function laneOrder<Id>(lanes: readonly Id[], one: Id, gap: number): Id[] {
  const others = (part: readonly Id[]) => part.filter((lane) => lane !== one);
  return [...others(lanes.slice(0, gap)), one, ...others(lanes.slice(gap))];
}
