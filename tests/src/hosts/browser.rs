//! Chromium without a screen, driven over its debugging pipe: real keys and clicks on a real page.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use anyhow::{Context, Result, bail, ensure};
use base64::Engine as _;
use serde_json::{Value, json};
use tempfile::TempDir;

/// The browser reads commands from file 3 and answers on file 4. As root it runs only without its sandbox; the pages are our own.
const START: &str = "exec chromium --headless --no-sandbox --disable-gpu --no-first-run --remote-debugging-pipe \
                     --user-data-dir=\"$0\" 3<&0 4>&1 </dev/null >/dev/null 2>&1";
/// Looks at a condition on the page so often, and so long, until it holds.
const LOOKS: usize = 6000;
const LOOK_MS: u32 = 20;

/// A browser with one page.
pub struct Browser {
    child: Child,
    commands: ChildStdin,
    answers: BufReader<ChildStdout>,
    session: Option<String>,
    last_id: u64,
    events: Vec<Value>,
    _profile: TempDir,
}

impl Browser {
    /// A new browser with an empty page. Fails where there is no `chromium`.
    pub fn start() -> Result<Self> {
        let profile = TempDir::new()?;
        let mut child = Command::new("sh")
            .args(["-c", START])
            .arg(profile.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()?;
        let commands = child.stdin.take().context("a pipe to the browser")?;
        let answers = child.stdout.take().context("a pipe from the browser")?;
        let mut browser = Self {
            child,
            commands,
            answers: BufReader::new(answers),
            session: None,
            last_id: 0,
            events: Vec::new(),
            _profile: profile,
        };
        let target = browser.call("Target.createTarget", json!({ "url": "about:blank" }))?;
        let attach = json!({ "targetId": target["targetId"], "flatten": true });
        let session = browser.call("Target.attachToTarget", attach)?;
        browser.session = session["sessionId"].as_str().map(str::to_owned);
        for domain in ["Page", "Runtime", "Network", "Log"] {
            browser.call(&format!("{domain}.enable"), json!({}))?;
        }
        Ok(browser)
    }

    /// Runs a script before those of every page that is opened from now on.
    pub fn prepare(&mut self, script: &str) -> Result<()> {
        let source = json!({ "source": script });
        self.call("Page.addScriptToEvaluateOnNewDocument", source)
            .map(drop)
    }

    /// Lets pages run scripts, or not.
    pub fn allow_scripts(&mut self, allow: bool) -> Result<()> {
        self.call("Emulation.setScriptExecutionDisabled", json!({ "value": !allow }))
            .map(drop)
    }

    /// Opens a page from the file system and waits until it is there.
    pub fn open(&mut self, page: &Path) -> Result<()> {
        let page = page.canonicalize()?;
        self.events.clear();
        self.call(
            "Page.navigate",
            json!({ "url": format!("file://{}", page.display()) }),
        )?;
        while !self
            .events
            .iter()
            .any(|event| event["method"] == "Page.loadEventFired")
        {
            let event = self.read()?;
            self.events.push(event);
        }
        Ok(())
    }

    /// The value of an expression on the page; a promise is waited for.
    pub fn evaluate(&mut self, expression: &str) -> Result<Value> {
        let call = json!({ "expression": expression, "awaitPromise": true, "returnByValue": true });
        let mut answer = self.call("Runtime.evaluate", call)?;
        let failed = &answer["exceptionDetails"];
        ensure!(failed.is_null(), "{expression}: {failed}");
        Ok(answer["result"]["value"].take())
    }

    /// Waits until an expression on the page is true.
    pub fn wait_for(&mut self, condition: &str) -> Result<()> {
        let wait = format!(
            "(async () => {{ for (let look = 0; look < {LOOKS}; look++) {{ if ({condition}) return true; \
             await new Promise((resolve) => setTimeout(resolve, {LOOK_MS})); }} return false; }})()"
        );
        ensure!(self.evaluate(&wait)? == true, "never came true: {condition}");
        Ok(())
    }

    /// Presses a key and lets it go; `key` is its name in DOM events.
    pub fn press(&mut self, key: &str) -> Result<()> {
        let text = (key.chars().count() == 1).then_some(key);
        for kind in ["keyDown", "keyUp"] {
            let text = text.filter(|_| kind == "keyDown");
            self.call(
                "Input.dispatchKeyEvent",
                json!({ "type": kind, "key": key, "text": text.unwrap_or("") }),
            )?;
        }
        Ok(())
    }

    /// Clicks the middle of the element that a selector finds, once it is in view.
    pub fn click(&mut self, selector: &str) -> Result<()> {
        self.click_within(selector, 0.5)
    }

    /// Clicks an element at a share of its width.
    pub fn click_within(&mut self, selector: &str, share: f64) -> Result<()> {
        let place = self.evaluate(&format!(
            "(() => {{ const found = document.querySelector({selector:?}); found.scrollIntoView({{ block: 'center' }}); \
             const box = found.getBoundingClientRect(); return [box.x + box.width * {share}, box.y + box.height / 2]; }})()"
        ))?;
        let [Some(x), Some(y)] = [0, 1].map(|axis| place[axis].as_f64()) else {
            bail!("{selector} has no place: {place}");
        };
        for kind in ["mousePressed", "mouseReleased"] {
            let press = json!({ "type": kind, "x": x, "y": y, "button": "left", "clickCount": 1 });
            self.call("Input.dispatchMouseEvent", press)?;
        }
        Ok(())
    }

    /// What has been requested since the page was opened, as URLs.
    pub fn requests(&self) -> Vec<String> {
        let requests = self.of("Network.requestWillBeSent");
        let url = |event: &Value| event["params"]["request"]["url"].as_str().map(str::to_owned);
        requests.filter_map(url).collect()
    }

    /// What the console got since the page was opened: its messages, and errors that nobody caught.
    pub fn complaints(&self) -> Vec<String> {
        let kinds = [
            "Runtime.consoleAPICalled",
            "Runtime.exceptionThrown",
            "Log.entryAdded",
        ];
        let events = kinds.into_iter().flat_map(|kind| self.of(kind));
        events.map(|event| event["params"].to_string()).collect()
    }

    /// Writes a picture of the window, PNG.
    pub fn picture(&mut self, path: &Path, width: u32, height: u32) -> Result<()> {
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        self.call("Emulation.setDeviceMetricsOverride", size)?;
        let answer = self.call("Page.captureScreenshot", json!({}))?;
        let text = answer["data"].as_str().context("a picture")?;
        Ok(std::fs::write(
            path,
            base64::prelude::BASE64_STANDARD.decode(text)?,
        )?)
    }

    fn of<'a>(&'a self, method: &'a str) -> impl Iterator<Item = &'a Value> {
        self.events.iter().filter(move |event| event["method"] == method)
    }

    fn call(&mut self, method: &str, params: Value) -> Result<Value> {
        self.last_id += 1;
        let mut command = json!({ "id": self.last_id, "method": method, "params": params });
        if let Some(session) = &self.session {
            command["sessionId"] = json!(session);
        }
        write!(self.commands, "{command}\0")
            .context("the browser ended; `cargo xtask test --setup` installs it")?;
        loop {
            let mut message = self.read()?;
            if message["id"] == self.last_id {
                ensure!(message["error"].is_null(), "{method}: {}", message["error"]);
                return Ok(message["result"].take());
            }
            self.events.push(message);
        }
    }

    fn read(&mut self) -> Result<Value> {
        let mut message = Vec::new();
        self.answers.read_until(0, &mut message)?;
        message
            .pop()
            .context("the browser ended; `cargo xtask test --setup` installs it")?;
        Ok(serde_json::from_slice(&message)?)
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        self.session = None;
        if self.call("Browser.close", json!({})).is_err() {
            let _ = self.child.kill();
        }
        let _ = self.child.wait();
    }
}
