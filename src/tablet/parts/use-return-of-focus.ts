import { useEffect, useState } from "react";

/** Gives the keyboard back to what opened a dialog, when the dialog is taken off the page rather than closed. */
export function useReturnOfFocus(): void {
  const [opener] = useState(() => document.activeElement);
  useEffect(
    () => () => {
      if (opener instanceof HTMLElement && opener.isConnected) opener.focus();
    },
    [opener],
  );
}
