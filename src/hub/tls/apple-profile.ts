import { createHash } from "node:crypto";

/** A configuration profile that carries one root certificate, as iPadOS and macOS install it. The same certificate gives the same profile, so that it replaces itself. */
export function appleProfile({ name, der }: { name: string; der: Buffer }): string {
  const [whole, part] = [identifier(der, "profile"), identifier(der, "certificate")];
  const shown = name.replace(/[&<>]/g, "");
  return `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">
<plist version="1.0">
<dict>
  <key>PayloadType</key><string>Configuration</string>
  <key>PayloadVersion</key><integer>1</integer>
  <key>PayloadIdentifier</key><string>evenhand.hub.${whole}</string>
  <key>PayloadUUID</key><string>${whole}</string>
  <key>PayloadDisplayName</key><string>${shown}</string>
  <key>PayloadContent</key>
  <array>
    <dict>
      <key>PayloadType</key><string>com.apple.security.root</string>
      <key>PayloadVersion</key><integer>1</integer>
      <key>PayloadIdentifier</key><string>evenhand.hub.${whole}.${part}</string>
      <key>PayloadUUID</key><string>${part}</string>
      <key>PayloadDisplayName</key><string>${shown}</string>
      <key>PayloadCertificateFileName</key><string>evenhand-hub.cer</string>
      <key>PayloadContent</key><data>${der.toString("base64")}</data>
    </dict>
  </array>
</dict>
</plist>
`;
}

/** A UUID of version 8 (RFC 9562: made by a rule of one's own) from the certificate. */
function identifier(der: Buffer, part: string): string {
  const bytes = createHash("sha256").update(part).update(der).digest().subarray(0, 16);
  bytes.writeUInt8(((bytes[6] ?? 0) & 0x0f) | 0x80, 6);
  bytes.writeUInt8(((bytes[8] ?? 0) & 0x3f) | 0x80, 8);
  const hex = bytes.toString("hex").toUpperCase();
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
