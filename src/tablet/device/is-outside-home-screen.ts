/** Only Safari on iPads and iPhones says this of itself, and there only `false` when it is no app of the home screen. */
export const isOutsideHomeScreen = (): boolean =>
  (navigator as { standalone?: boolean }).standalone === false;
