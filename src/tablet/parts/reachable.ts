/** Without a last slash, and the machine's own name for itself last: no other device reaches that. */
export function reachable(addresses: readonly string[]): string[] {
  const isOwn = (address: string) => /\/\/(localhost|127\.|\[::1\])/.test(address);
  const plain = [...new Set(addresses.map((address) => address.replace(/\/+$/, "")))];
  return [...plain.filter((one) => !isOwn(one)), ...plain.filter(isOwn)];
}
