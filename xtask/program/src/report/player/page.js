/** A click plays from so long before, s: what leads to a sibilant is heard, too. */
const BEFORE_S = 0.5;
/** What an arrow key moves, s. */
const STEP_S = 1;

const root = document.getElementById("player");
const { folder, tracks } = JSON.parse(document.getElementById("player-data").textContent);
const transport = new Transport(new Blocks(folder), tracks[0]);
const places = Object.fromEntries(
  ["tracks", "play", "renderings", "equal", "sections", "position", "message"].map((name) => [
    name,
    root.querySelector(`.${name}`),
  ]),
);
const timelines = [...document.querySelectorAll(".timeline")];

function button(text, action, title = "") {
  const made = document.createElement("button");
  made.type = "button";
  Object.assign(made, { textContent: text, title, onclick: action });
  return made;
}

/** The buttons of the chosen track. */
function build() {
  const { track } = transport;
  const choice = (other) => button(other.name, () => choose(other), "Key t: the next track");
  places.tracks.replaceChildren(...(tracks.length > 1 ? tracks.map(choice) : []));
  places.renderings.replaceChildren(
    ...track.renderings.map(({ name }, index) => button(`${index + 1}  ${name}`, () => hear(index), `Key ${index + 1}`)),
  );
  places.sections.replaceChildren(
    ...track.sections.map((section) => button(section.name, () => repeat(section), "Repeats this section")),
  );
  show();
}

/** Marks what is chosen. */
function show() {
  const press = (place, is) => [...place.children].forEach((item, at) => item.setAttribute("aria-pressed", is(at)));
  press(places.tracks, (at) => tracks[at] === transport.track);
  press(places.renderings, (at) => at === transport.rendering);
  press(places.sections, (at) => transport.track.sections[at] === transport.loop);
  places.equal.setAttribute("aria-pressed", transport.equal);
  move();
}

/** Cursor and clock; comes again with the next picture while sound plays. */
function move() {
  const { track } = transport;
  const seconds = transport.position() / track.rate_hz;
  places.position.value = `${clock(seconds)} of ${clock(track.samples / track.rate_hz)}`;
  places.play.textContent = transport.playing ? "Stop" : "Play";
  for (const timeline of timelines) {
    const { left, right, seconds: length } = timeline.dataset;
    const cursor = timeline.querySelector(".cursor");
    cursor.hidden = timeline.dataset.track !== track.id;
    cursor.style.left = `${100 * (+left + ((right - left) * seconds) / length)}%`;
  }
  cancelAnimationFrame(move.next);
  if (transport.playing) move.next = requestAnimationFrame(move);
}

function clock(seconds) {
  const tenths = Math.round(10 * seconds);
  const rest = (tenths % 600) / 10;
  return `${Math.floor(tenths / 600)}:${rest < 10 ? "0" : ""}${rest.toFixed(1)}`;
}

function choose(track) {
  const { playing } = transport;
  transport.choose(track);
  build();
  if (playing) play(transport.position());
}

function hear(index) {
  if (index < transport.track.renderings.length) transport.hear(index, transport.equal);
  show();
}

function repeat(section) {
  transport.repeat(transport.loop === section ? null : section);
  show();
}

function play(sample) {
  places.message.textContent = "";
  transport.play(sample);
  show();
}

/** Plays a track from just before a time, s. */
function playFrom(id, seconds) {
  const track = tracks.find((other) => other.id === id);
  if (track !== transport.track) {
    transport.choose(track);
    build();
  }
  const sample = Math.max(0, seconds - BEFORE_S) * track.rate_hz;
  const { loop } = transport;
  if (loop && (sample < loop.from || sample >= loop.to)) transport.loop = null;
  play(sample);
}

function toggle() {
  if (transport.playing) transport.stop();
  else play(transport.position());
  show();
}

function step(seconds) {
  const { track, playing } = transport;
  const sample = Math.min(Math.max(0, transport.position() + seconds * track.rate_hz), track.samples - 1);
  if (playing) play(sample);
  else transport.rest = sample;
  show();
}

const KEYS = {
  " ": toggle,
  e: () => places.equal.click(),
  t: () => choose(tracks[(tracks.indexOf(transport.track) + 1) % tracks.length]),
  ArrowLeft: () => step(-STEP_S),
  ArrowRight: () => step(STEP_S),
};

document.addEventListener("keydown", (event) => {
  // The space bar presses the button that has the focus.
  const taken = event.key === " " && event.target.closest("button, a, summary");
  if (taken || event.ctrlKey || event.altKey || event.metaKey || event.target.closest("input, audio")) return;
  const action = /^[1-9]$/.test(event.key) ? () => hear(event.key - 1) : KEYS[event.key];
  if (!action) return;
  event.preventDefault();
  action();
});

document.addEventListener("click", (event) => {
  const moment = event.target.closest("button[data-at]");
  if (moment) playFrom(moment.dataset.track, +moment.dataset.at);
});

for (const timeline of timelines) {
  timeline.addEventListener("click", (event) => {
    const { left, right, seconds, track } = timeline.dataset;
    const box = timeline.getBoundingClientRect();
    const share = ((event.clientX - box.left) / box.width - left) / (right - left);
    if (share >= 0 && share <= 1) playFrom(track, share * seconds);
  });
}

transport.failed = (error) => {
  places.message.textContent = error.message;
  show();
};
places.play.onclick = toggle;
places.equal.onclick = () => {
  transport.hear(transport.rendering, !transport.equal);
  show();
};
document.documentElement.classList.add("scripted");
build();
