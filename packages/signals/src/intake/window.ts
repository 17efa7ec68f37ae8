/** The bytes that a splitter has not used up yet, in one growing buffer: a record may begin in one chunk and end in another. */
export class ByteWindow {
  bytes: Buffer = Buffer.allocUnsafe(1 << 18);
  /** First unused byte. */
  start = 0;
  /** One past the last byte. */
  end = 0;

  get length(): number {
    return this.end - this.start;
  }

  /** Copies a piece in; offsets into {@link bytes} taken before are void, those relative to `start` stay. */
  append(piece: Uint8Array): void {
    if (this.end + piece.length > this.bytes.length) {
      const length = this.length;
      const target =
        length + piece.length > this.bytes.length ? Buffer.allocUnsafe((length + piece.length) * 2) : this.bytes;
      target.set(this.bytes.subarray(this.start, this.end));
      this.bytes = target;
      this.start = 0;
      this.end = length;
    }
    this.bytes.set(piece, this.end);
    this.end += piece.length;
  }

  clear(): void {
    this.start = 0;
    this.end = 0;
  }
}
