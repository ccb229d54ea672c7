import css from "./seal.module.css";
import { Sign } from "./sign.tsx";

interface SealProps {
  /** Side in pixels. */
  size?: number;
  /** Plays the landing once when it appears. */
  lands?: boolean;
  /** Says what was sealed; without it the words beside it speak. */
  label?: string;
}

/** Our sign: a line with a bead hung each side, pressed by a hand. */
export function Seal({ size = 40, lands = false, label }: SealProps) {
  return (
    <Sign
      label={label}
      className={css.root}
      data-part="seal"
      viewBox="0 0 44 44"
      width={size}
      height={size}
      data-lands={lands || undefined}
    >
      <path
        className={css.ground}
        d="M2.4 2.1 22 1.4l19.9.9-.6 19.3.8 20.3-20.4.6-19.8-.8.7-19.5z"
      />
      <path className={css.thread} d="M22 6v32M22 15.5H12M22 28.5h10" />
      <circle className={css.bead} cx="11.5" cy="15.5" r="5.2" />
      <circle className={css.bead} cx="32.5" cy="28.5" r="5.2" />
    </Sign>
  );
}
