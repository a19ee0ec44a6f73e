// Reading a zip: the names and contents of its files (PKWARE, .ZIP File Format Specification, the parts that ours uses).

const END = 0x06054b50, ENTRY = 0x02014b50, DEFLATED = 8;

// [{ name, blob() }] in the order of the zip's directory.
export function entries(bytes) {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let end = bytes.length - 22;
  while (view.getUint32(end, true) !== END) end -= 1;
  const found = [];
  let at = view.getUint32(end + 16, true);
  for (let left = view.getUint16(end + 10, true); left > 0 && view.getUint32(at, true) === ENTRY; left -= 1) {
    const method = view.getUint16(at + 10, true), packed = view.getUint32(at + 20, true), size = view.getUint32(at + 24, true);
    const nameLength = view.getUint16(at + 28, true), local = view.getUint32(at + 42, true);
    const name = new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + nameLength));
    const start = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
    const content = bytes.subarray(start, start + packed);
    found.push({ name, size, blob: (type) => unpacked(content, method, type) });
    at += 46 + nameLength + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  }
  return found;
}

async function unpacked(content, method, type) {
  if (method !== DEFLATED) return new Blob([content], { type });
  const stream = new Blob([content]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
  return new Blob([await new Response(stream).arrayBuffer()], { type });
}
