import { createContext, type ReactNode } from "react";

/** What can be done at any moment, and so in front of the page too: it lies out of reach while a dialog is open. */
export const AtAnyMoment = createContext<ReactNode>(null);
