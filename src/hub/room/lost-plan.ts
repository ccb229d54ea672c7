/**
 * A hub that was put back from an older copy lacks what was said since of who judges whom, and a lock that came before that would open marks, for good, of
 * which somebody is still to say something. Only the chief's tablet has it: until that has given it back, whatever others bring waits on their tablets.
 * Not kept: it is seen again by whoever comes.
 */
export class LostPlan {
  #isLost = false;
  #hasChiefCome = false;

  /** Somebody has read further in this book than it goes. */
  wasLost(): void {
    this.#isLost = true;
  }
  /** A chief's tablet has handed in all it had; or another hub is at work on the book, where it may be. */
  chiefHasCome(): void {
    this.#hasChiefCome = true;
  }
  get isAwaited(): boolean {
    return this.#isLost && !this.#hasChiefCome;
  }
}
