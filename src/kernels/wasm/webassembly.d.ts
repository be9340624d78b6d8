/** The little of the JavaScript interface of WebAssembly that this room uses; no library of types without a browser has it. */
declare namespace WebAssembly {
  class Memory {
    constructor(descriptor: { initial: number; maximum: number; shared: true })
    readonly buffer: SharedArrayBuffer
    grow(pages: number): number
  }
  class Module {
    constructor(bytes: Uint8Array)
  }
  class Instance {
    constructor(module: Module, imports: Record<string, Record<string, unknown>>)
    readonly exports: unknown
  }
}
