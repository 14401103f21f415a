// The engine's own thread: the program, which from then on takes the messages itself.
importScripts('wasm_exec.js');
onmessage = async ({ data }) => {
  const go = new Go();
  go.argv = ['cubby', 'page'];
  go.run(await WebAssembly.instantiate(data, go.importObject));
};
