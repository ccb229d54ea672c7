import { useEffect, useState } from "react";
import css from "./qr-code.module.css";

interface QrCodeProps {
  text: string;
  /** What a reader hears: "QR code of …". */
  label: string;
}

/** A square that a camera reads. Always dark on light, in a dark hall too: many cameras read nothing else. */
export function QrCode({ text, label }: QrCodeProps) {
  const [drawn, setDrawn] = useState<{ text: string; size: number; path: string }>();
  useEffect(() => {
    let isHere = true;
    void import("qrcode").then(({ default: qrcode }) => {
      const { modules } = qrcode.create(text, { errorCorrectionLevel: "M" });
      const { size, data } = modules;
      let path = "";
      for (let place = 0; place < data.length; place++)
        if (data[place]) path += `M${place % size} ${Math.floor(place / size)}h1v1h-1z`;
      if (isHere) setDrawn({ text, size, path });
    });
    return () => {
      isHere = false;
    };
  }, [text]);
  if (drawn?.text !== text)
    return <span className={css.root} data-part="qr-code" aria-busy="true" />;
  const { size, path } = drawn;
  return (
    // Four modules of quiet on every side, as ISO/IEC 18004 asks.
    <svg
      className={css.root}
      data-part="qr-code"
      viewBox={`-4 -4 ${size + 8} ${size + 8}`}
      role="img"
      aria-label={label}
      shapeRendering="crispEdges"
    >
      <path className={css.ground} d={`M-4-4h${size + 8}v${size + 8}h-${size + 8}z`} />
      <path className={css.ink} d={path} />
    </svg>
  );
}
