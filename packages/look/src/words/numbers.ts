/** Numbers as they stand in a sentence. */

const words = [
  'none',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
];

/** `six`, `13`: a whole number in words up to twelve; 0 is `none`. */
export function numberWord(value: number): string {
  return words[value] ?? String(value);
}

/** The text with a capital first letter. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}
