/** Blocks kept decoded: some 60 s, so that memory does not grow with the length of the song. */
const KEPT_BLOCKS = 6;

/**
 * Blocks of sound from script files beside the page: browsers do not let a page on a file system fetch files, or pass the
 * samples of its media elements on.
 */
class Blocks {
  constructor(folder) {
    this.folder = folder;
    this.kept = new Map();
    this.arrived = null;
    window.soundBlock = (sounds) => (this.arrived = sounds);
  }

  /** The block of a track: one AudioBuffer a rendering. */
  load(track, index) {
    const name = `${track.id}-${index}`;
    const promise = this.kept.get(name) ?? this.read(track, name);
    this.kept.delete(name);
    this.kept.set(name, promise);
    for (const oldest of [...this.kept.keys()].slice(0, -KEPT_BLOCKS)) this.kept.delete(oldest);
    promise.catch(() => this.kept.delete(name));
    return promise;
  }

  read(track, name) {
    return new Promise((resolve, reject) => {
      const script = document.createElement("script");
      const file = `${this.folder}/${name}.js`;
      script.src = file;
      // A script's load event follows its run, before that of any other.
      script.onload = () => {
        script.remove();
        const sounds = this.arrived;
        this.arrived = null;
        resolve(sounds.map((sound) => decoded(sound, track)));
      };
      script.onerror = () => {
        script.remove();
        reject(new Error(`${file} is missing: keep the folder ${this.folder} beside this page`));
      };
      document.head.append(script);
    });
  }
}

/** Interleaved 16-bit samples, little endian, in base64. */
function decoded(base64, track) {
  const text = atob(base64);
  const bytes = new DataView(Uint8Array.from(text, (letter) => letter.charCodeAt(0)).buffer);
  const length = bytes.byteLength / 2 / track.channels;
  const buffer = new AudioBuffer({ length, numberOfChannels: track.channels, sampleRate: track.rate_hz });
  for (let channel = 0; channel < track.channels; channel++) {
    const samples = buffer.getChannelData(channel);
    for (let n = 0; n < length; n++) {
      samples[n] = bytes.getInt16(2 * (n * track.channels + channel), true) / 32768;
    }
  }
  return buffer;
}
