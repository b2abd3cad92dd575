// The id of an inspection is made on the tablet when its form opens: a UUIDv7
// (RFC 9562, 5.7), 48 bits of milliseconds, then random bits.

/** uuid7 makes an id from the time in ms and ten random bytes. */
export function uuid7(now, random) {
  const bytes = new Uint8Array(16);
  let ms = BigInt(now);
  for (let i = 5; i >= 0; i--) {
    bytes[i] = Number(ms & 0xffn);
    ms >>= 8n;
  }
  bytes.set(random.subarray(0, 10), 6);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}

/** freshId makes one from the machine's clock and random source. */
export function freshId() {
  const random = new Uint8Array(10);
  crypto.getRandomValues(random);
  return uuid7(Date.now(), random);
}
