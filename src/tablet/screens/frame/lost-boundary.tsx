import { Component, type ReactNode } from "react";
import { Lost } from "./lost.tsx";

/** Catches a screen that broke, or whose script could not be fetched; the way back reloads the app. */
export class LostBoundary extends Component<{ children: ReactNode }, { isLost: boolean }> {
  override state = { isLost: false };
  static getDerivedStateFromError(): { isLost: boolean } {
    return { isLost: true };
  }
  override render(): ReactNode {
    return this.state.isLost ? <Lost reload /> : this.props.children;
  }
}
