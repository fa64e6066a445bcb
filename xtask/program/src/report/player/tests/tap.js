// Records what leaves every AudioContext of the page: for each 128 frames the first frame's number, its sample, and the
// least and the largest sample.
window.heard = [];
window.AudioContext = class extends AudioContext {
  constructor(options) {
    super(options);
    this.gate = new GainNode(this);
    const recorder = `registerProcessor("tap", class extends AudioWorkletProcessor {
      process([[samples]]) {
        if (samples) this.port.postMessage([currentFrame, samples[0], Math.min(...samples), Math.max(...samples)]);
        return true;
      }
    })`;
    const module = `data:text/javascript,${encodeURIComponent(recorder)}`;
    this.recording = this.audioWorklet.addModule(module).then(() => {
      const tap = new AudioWorkletNode(this, "tap");
      tap.port.onmessage = ({ data }) => window.heard.push(data);
      this.gate.connect(tap).connect(super.destination);
    });
  }

  get destination() {
    return this.gate ?? super.destination;
  }

  resume() {
    return Promise.all([super.resume(), this.recording]);
  }
};
