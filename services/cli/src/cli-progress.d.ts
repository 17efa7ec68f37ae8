/** What this program uses of cli-progress, which carries no types of its own. */
declare module 'cli-progress' {
  export interface Options {
    readonly format: string;
    readonly stream: NodeJS.WritableStream;
    readonly barCompleteChar: string;
    readonly barIncompleteChar: string;
    readonly barsize: number;
    readonly clearOnComplete: boolean;
    readonly hideCursor: boolean;
    readonly fps: number;
  }

  export class SingleBar {
    constructor(options: Options);
    start(total: number, startValue: number, payload: Record<string, unknown>): void;
    update(value: number, payload: Record<string, unknown>): void;
    stop(): void;
  }
}
