/** From the order to the sound: time to schedule the first blocks, s. */
const LEAD_S = 0.06;
/** A block is scheduled so long before it sounds, s: timers of a page in the background come once a second. */
const AHEAD_S = 4;
/** Fade where sound begins, ends or changes its rendering, s. */
const FADE_S = 0.005;

/** Plays all renderings of a track at once, one of them audibly. Positions are in samples of the track. */
class Transport {
  constructor(blocks, track) {
    this.blocks = blocks;
    this.rendering = 0;
    this.equal = true;
    this.loop = null;
    this.failed = () => {};
    this.choose(track);
  }

  /** Turns to another track, at rest at the same time of the song. */
  choose(track) {
    const seconds = this.track ? this.position() / this.track.rate_hz : 0;
    this.stop();
    this.track = track;
    this.loop = null;
    this.rendering = Math.min(this.rendering, track.renderings.length - 1);
    this.rest = Math.min(Math.round(seconds * track.rate_hz), track.samples);
  }

  get playing() {
    return this.run !== null && this.run !== undefined;
  }

  async play(from) {
    const { track } = this;
    this.stop();
    this.rest = from >= track.samples ? 0 : Math.max(0, Math.round(from));
    const run = (this.run = { pieces: [], voices: [], next: null });
    try {
      if (this.context?.sampleRate !== track.rate_hz) {
        this.context?.close();
        this.context = new AudioContext({ sampleRate: track.rate_hz });
      }
      await this.context.resume();
      await this.blocks.load(track, Math.floor(this.rest / track.block_samples));
    } catch (error) {
      if (this.run === run) this.run = null;
      this.failed(error);
      return;
    }
    if (this.run !== run) return;
    this.begin(run);
    await this.schedule(run);
  }

  /** The nodes of a run: a gain for each rendering, and one for all. */
  begin(run) {
    const { context } = this;
    run.all = new GainNode(context, { gain: 0 });
    run.all.connect(context.destination);
    run.voices = this.track.renderings.map((_, index) => {
      const voice = new GainNode(context, { gain: this.gain(index) });
      voice.connect(run.all);
      return voice;
    });
    const frame = Math.ceil((context.currentTime + LEAD_S) * context.sampleRate);
    run.next = { frame, from: this.rest };
    ramp(run.all.gain, 1, frame / context.sampleRate);
    run.timer = setInterval(() => this.schedule(run), 500);
  }

  /** Schedules what sounds in the next seconds; ends the run after its last sample. */
  async schedule(run) {
    if (run.busy || this.run !== run) return;
    run.busy = true;
    try {
      while (run.next && run.next.frame < this.frame() + AHEAD_S * this.track.rate_hz) {
        const buffers = await this.blocks.load(this.track, this.block(run.next.from));
        if (this.run !== run) return;
        this.piece(run, buffers);
      }
      if (!run.next && this.position() >= this.track.samples) this.stop();
    } catch (error) {
      this.stop();
      this.failed(error);
    } finally {
      run.busy = false;
    }
  }

  /** One stretch within a block, up to the end of the loop or the track. */
  piece(run, buffers) {
    const { context, track } = this;
    const { from } = run.next;
    const frame = Math.max(run.next.frame, Math.ceil(this.frame()));
    const first = this.block(from) * track.block_samples;
    const looped = this.loop !== null && from < this.loop.to;
    const end = Math.min(first + buffers[0].length, looped ? this.loop.to : track.samples);
    const sources = buffers.map((buffer, index) => {
      const source = new AudioBufferSourceNode(context, { buffer });
      source.connect(run.voices[index]);
      const [offset, length] = [from - first, end - from].map((samples) => samples / track.rate_hz);
      source.start(frame / track.rate_hz, offset, length);
      return source;
    });
    run.pieces.push({ frame, from, end, sources });
    const back = looped && end === this.loop.to;
    const next = back ? this.loop.from : end;
    run.next = next < track.samples ? { frame: frame + end - from, from: next } : null;
  }

  /** Where the song is, in samples, by the clock of the sound. */
  position() {
    const { run } = this;
    if (!run?.pieces.length) return this.rest;
    const frame = this.frame();
    while (run.pieces.length > 1 && run.pieces[1].frame <= frame) run.pieces.shift();
    const [piece] = run.pieces;
    return Math.min(piece.from + Math.max(0, frame - piece.frame), piece.end);
  }

  stop() {
    const { run } = this;
    if (!run) return;
    this.rest = this.position();
    this.run = null;
    clearInterval(run.timer);
    if (!run.all) return;
    const end = this.context.currentTime + FADE_S;
    ramp(run.all.gain, 0, this.context.currentTime);
    run.pieces.forEach((piece) => piece.sources.forEach((source) => source.stop(end)));
  }

  /** Sets what is heard, from this instant on. */
  hear(rendering, equal) {
    Object.assign(this, { rendering, equal });
    const now = this.context?.currentTime;
    this.run?.voices.forEach((voice, index) => ramp(voice.gain, this.gain(index), now));
  }

  /** Repeats a section, or nothing. What is scheduled already is scheduled anew. */
  repeat(section) {
    this.loop = section;
    const position = this.position();
    const inside = section === null || (position >= section.from && position < section.to);
    if (!this.playing) this.rest = inside ? position : section.from;
    else this.play(inside ? position : section.from);
  }

  gain(index) {
    const { scale, equal_gain } = this.track.renderings[index];
    return index === this.rendering ? scale * (this.equal ? equal_gain : 1) : 0;
  }

  block(sample) {
    return Math.floor(sample / this.track.block_samples);
  }

  frame() {
    return this.context.currentTime * this.context.sampleRate;
  }
}

function ramp(parameter, target, from) {
  parameter.cancelScheduledValues(from);
  parameter.setValueAtTime(parameter.value, from);
  parameter.linearRampToValueAtTime(target, from + FADE_S);
}
