
"use strict";

// The core takes a Map of path -> {size, bytes()} and WebCrypto's SubtleCrypto, and touches no page.

const NAMESPACE = "evidence-pack";
const ALGORITHM = "ssh-ed25519";
const BAG = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";
const TAGS = "tagmanifest-sha256.txt";
const MANIFEST = "manifest-sha256.txt";
const BEGIN = "-----BEGIN SSH SIGNATURE-----\n";
const END = "\n-----END SSH SIGNATURE-----\n";

class Wrong extends Error {}

function hex(buffer) {
  return Array.from(new Uint8Array(buffer), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function ascii(bytes) {
  return Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
}

function bytesOf(text) {
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}

function joined(parts) {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

function sshString(bytes) {
  const head = new Uint8Array(4);
  new DataView(head.buffer).setUint32(0, bytes.length);
  return joined([head, bytes]);
}

function same(one, other) {
  return one.length === other.length && one.every((byte, at) => byte === other[at]);
}

function base64(text) {
  if (!/^[A-Za-z0-9+/]+={0,2}$/.test(text) || text.length % 4) throw new Wrong("it is not base64");
  const bytes = bytesOf(atob(text));
  if (btoa(ascii(bytes)) !== text) throw new Wrong("it is not base64 as it is written");
  return bytes;
}

// Reads SSH's strings, one after the other.
class Reader {
  constructor(bytes) {
    this.bytes = bytes;
    this.at = 0;
  }

  number() {
    if (this.at + 4 > this.bytes.length) throw new Wrong("it is cut off");
    this.at += 4;
    return new DataView(this.bytes.buffer, this.bytes.byteOffset + this.at - 4, 4).getUint32(0);
  }

  string() {
    const size = this.number();
    if (this.at + size > this.bytes.length) throw new Wrong("it is cut off");
    this.at += size;
    return this.bytes.subarray(this.at - size, this.at);
  }

  end() {
    if (this.at !== this.bytes.length) throw new Wrong("it has something after its end");
  }
}

function field(blob, size) {
  const reader = new Reader(blob);
  if (ascii(reader.string()) !== ALGORITHM) throw new Wrong("it is not Ed25519");
  const raw = reader.string();
  reader.end();
  if (raw.length !== size) throw new Wrong("a key or signature in it has a wrong length");
  return raw;
}

// Strict: what is not, letter for letter, as ssh-keygen writes it is refused.
function parseSignature(bytes) {
  const text = ascii(bytes);
  if (!text.startsWith(BEGIN) || !text.endsWith(END)) throw new Wrong("something lies round it");
  const body = text.slice(BEGIN.length, -END.length);
  const blob = base64(body.replaceAll("\n", ""));
  const lines = btoa(ascii(blob)).match(/.{1,70}/g).join("\n");
  if (lines !== body) throw new Wrong("its lines are not those of a signature");
  if (ascii(blob.subarray(0, 6)) !== "SSHSIG") throw new Wrong("it is no SSH signature");
  const reader = new Reader(blob.subarray(6));
  if (reader.number() !== 1) throw new Wrong("it is of another version");
  const key = field(reader.string(), 32);
  if (ascii(reader.string()) !== NAMESPACE) throw new Wrong("it was made for another use");
  reader.string();
  if (ascii(reader.string()) !== "sha512") throw new Wrong("it uses another hash");
  const signature = field(reader.string(), 64);
  reader.end();
  return { key, signature };
}

async function signedBytes(message, subtle) {
  const digest = new Uint8Array(await subtle.digest("SHA-512", message));
  return joined([
    bytesOf("SSHSIG"), sshString(bytesOf(NAMESPACE)), sshString(bytesOf("")),
    sshString(bytesOf("sha512")), sshString(digest),
  ]);
}

function parseSigners(bytes) {
  const keys = [];
  for (const line of ascii(bytes).replace(/\n$/, "").split("\n")) {
    const found = /^[a-z0-9,-]+ namespaces="evidence-pack" ssh-ed25519 (\S+)$/.exec(line);
    if (!found) throw new Wrong("a line in it is no key for this use");
    keys.push(field(base64(found[1]), 32));
  }
  return keys;
}

async function fingerprint(key, subtle) {
  const blob = joined([sshString(bytesOf(ALGORITHM)), sshString(key)]);
  const digest = new Uint8Array(await subtle.digest("SHA-256", blob));
  return "SHA256:" + btoa(ascii(digest)).replace(/=+$/, "");
}

function parseManifest(text, name) {
  const hashes = new Map();
  for (const line of text.replace(/\n$/, "").split("\n")) {
    const found = /^([0-9a-f]{64})  (.+)$/.exec(line);
    if (!found) throw new Wrong(`${name} has a line that is no hash and path`);
    if (hashes.has(found[2])) throw new Wrong(`${name} lists ${found[2]} twice`);
    hashes.set(found[2], found[1]);
  }
  return hashes;
}

// The folder that holds bagit.txt becomes the top; what lies outside is no part of the pack.
function placed(files) {
  const declarations = [...files.keys()].filter((path) => /(^|\/)bagit\.txt$/.test(path));
  declarations.sort((one, other) => one.length - other.length);
  if (!declarations.length) throw new Wrong("There is no bagit.txt: choose the unpacked pack's folder");
  const top = declarations[0].slice(0, -"bagit.txt".length);
  return new Map([...files].filter(([path]) => path.startsWith(top))
    .map(([path, file]) => [path.slice(top.length), file]));
}

class Check {
  constructor(files, subtle, tell) {
    Object.assign(this, { files: placed(files), subtle, tell });
    Object.assign(this, { findings: [], hashed: 0, signatures: 0, fingerprint: "", canSign: true });
  }

  wrong(path, what) {
    this.findings.push({ path, what });
  }

  async read(path) {
    const file = this.files.get(path);
    if (!file) throw new Wrong(`${path} is missing`);
    return new Uint8Array(await file.bytes());
  }

  async text(path) {
    return ascii(await this.read(path));
  }

  // Run one part; what it refuses is a finding, and the next part goes on.
  async part(path, work) {
    try {
      await work();
    } catch (error) {
      if (!(error instanceof Wrong)) throw error;
      this.wrong(path, error.message);
    }
  }

  async all() {
    await this.part("bagit.txt", async () => {
      if (await this.text("bagit.txt") !== BAG) throw new Wrong("it is not that of a BagIt 1.0 bag");
    });
    if (this.files.has("fetch.txt")) this.wrong("fetch.txt", "a pack holds all of its files");
    await this.part(TAGS, () => this.manifest(TAGS, false));
    await this.part(MANIFEST, () => this.manifest(MANIFEST, true));
    await this.part("data/allowed_signers", () => this.signers());
    await this.part("data/chains", () => this.chains());
    return this;
  }

  async manifest(name, isPayload) {
    const hashes = parseManifest(await this.text(name), name);
    const own = [TAGS, TAGS + ".sig"];
    const mine = [...this.files.keys()].filter(
      (path) => path.startsWith("data/") === isPayload && !(own.includes(path)));
    for (const path of mine) if (!hashes.has(path)) this.wrong(path, "it was added: no manifest lists it");
    for (const [path, wanted] of hashes) {
      this.tell(++this.hashed, this.files.size, path);
      if (!mine.includes(path)) this.wrong(path, "it is missing");
      else if (hex(await this.subtle.digest("SHA-256", await this.read(path))) !== wanted) {
        this.wrong(path, "it was changed: its bytes are not those that were packed");
      }
    }
  }

  async signers() {
    const keys = parseSigners(await this.read("data/allowed_signers"));
    this.fingerprint = await fingerprint(keys[0], this.subtle);
    for (const path of this.files.keys()) {
      if (path.endsWith(".sig")) {
        const isOld = path.includes("/older/");
        await this.part(path, () => this.signature(path, isOld ? keys : keys.slice(0, 1)));
      }
    }
    const needed = [...this.files.keys()].filter((path) => /^data\/chains\/.*\/(checkpoint|older\/[^.]+)$/.test(path));
    for (const path of [TAGS, MANIFEST, ...needed]) {
      if (!this.files.has(path + ".sig")) this.wrong(path, "it is not signed");
    }
  }

  async signature(path, keys) {
    const { key, signature } = parseSignature(await this.read(path));
    if (!keys.some((each) => same(each, key))) throw new Wrong("it is signed with another key than the pack's");
    let imported;
    try {
      imported = await this.subtle.importKey("raw", key, { name: "Ed25519" }, false, ["verify"]);
    } catch {
      this.canSign = false;
      return;
    }
    const message = await signedBytes(await this.read(path.slice(0, -4)), this.subtle);
    if (!await this.subtle.verify({ name: "Ed25519" }, imported, signature, message)) {
      throw new Wrong("what was signed is not this file: one of the two was changed");
    }
    this.signatures += 1;
  }

  async chains() {
    const folders = new Set([...this.files.keys()]
      .map((path) => /^data\/chains\/([^/]+)\//.exec(path)).filter(Boolean).map((found) => found[1]));
    if (!folders.size) throw new Wrong("there is no chain in it");
    for (const bench of folders) {
      await this.part(`data/chains/${bench}`, () => this.chain(`data/chains/${bench}/`));
    }
  }

  async chain(folder) {
    const hashes = (await this.text(folder + "hashes.txt")).split("\n").slice(0, -1);
    const redacted = new Set((await this.text(folder + "redacted.txt")).split("\n").slice(0, -1));
    const shown = hashes.filter((digest) => !redacted.has(digest));
    const ledger = await this.read(folder + "ledger.jsonl");
    let at = 0;
    let number = 0;
    for (const wanted of shown) {
      const end = ledger.indexOf(10, at) + 1;
      if (!end) throw new Wrong("lines of ledger.jsonl are missing");
      number += 1;
      if (hex(await this.subtle.digest("SHA-256", ledger.subarray(at, end))) !== wanted) {
        throw new Wrong(`line ${number} of ledger.jsonl is not the one that was hashed`);
      }
      at = end;
    }
    if (at !== ledger.length) throw new Wrong("lines were added to ledger.jsonl");
    const checkpoints = [...this.files.keys()].filter((path) =>
      path === folder + "checkpoint" || (path.startsWith(folder + "older/") && !path.endsWith(".sig")));
    for (const path of checkpoints) {
      await this.part(path, () => this.checkpoint(path, hashes, path === folder + "checkpoint"));
    }
  }

  async checkpoint(path, hashes, isNewest) {
    const [, count, root] = (await this.text(path)).split("\n");
    const begin = hashes.slice(0, Number(count)).map((digest) => digest + "\n").join("");
    if (isNewest && Number(count) !== hashes.length) throw new Wrong("it counts other lines than there are");
    if (hex(await this.subtle.digest("SHA-256", bytesOf(begin))) !== root) {
      throw new Wrong("a FORK: the lines before it are not those that left the bench then");
    }
  }
}

async function checkPack(files, subtle, tell = () => {}) {
  return new Check(files, subtle, tell).all();
}

// The page round it.

function headlineOf(check) {
  const many = check.findings.length;
  if (many) return `${many} ${many === 1 ? "thing is" : "things are"} wrong: this pack is not as it was made`;
  if (!check.canSign) return "Every file and every line agrees, but who signed them was NOT CHECKED";
  return "Every file and every line is as it was packed";
}

function say(words, kind = "") {
  document.getElementById("answer").hidden = false;
  document.getElementById("findings").replaceChildren();
  document.getElementById("key").hidden = true;
  document.getElementById("progress").textContent = "";
  document.getElementById("headline").className = kind;
  document.getElementById("headline").textContent = words;
}

function show(check) {
  say(headlineOf(check), check.findings.length ? "bad" : check.canSign ? "good" : "open");
  for (const { path, what } of check.findings) {
    const item = document.createElement("li");
    item.append(Object.assign(document.createElement("code"), { textContent: path }), what);
    document.getElementById("findings").append(item);
  }
  const signed = check.canSign
    ? `${check.signatures} signatures hold.`
    : "This browser cannot check the signatures: NOT CHECKED. HOW-TO-CHECK.txt tells how to.";
  document.getElementById("progress").textContent = `${check.hashed} files hashed. ${signed}`;
  document.getElementById("key").hidden = !check.fingerprint;
  document.getElementById("fingerprint").textContent = check.fingerprint;
}

async function start(files) {
  say("Checking");
  try {
    if (!globalThis.crypto?.subtle) {
      throw new Wrong("This browser keeps its hashing from pages in a file: use HOW-TO-CHECK.txt, or another browser");
    }
    const progress = document.getElementById("progress");
    show(await checkPack(files, crypto.subtle, (done, of, path) => {
      progress.textContent = `${done} of ${of}: ${path}`;
    }));
  } catch (error) {
    say(error instanceof Wrong ? error.message : `The check failed: ${error.message}`, "bad");
  }
}

function take(input) {
  const files = new Map([...input.files].map((file) =>
    [file.webkitRelativePath || file.name, { size: file.size, bytes: () => file.arrayBuffer() }]));
  input.value = "";  // so that the same folder can be chosen again
  return files;
}

// A folder dropped on the field is the browser's own work: from a page that is a file, it lets no
// script read a dropped folder, and puts its files into the field all the same.
function attach() {
  const fieldset = document.getElementById("field");
  const input = document.getElementById("files");
  input.addEventListener("change", () => start(take(input)));
  for (const kind of ["dragover", "dragleave", "drop"]) {
    document.addEventListener(kind, (event) => {
      if (event.target !== input) event.preventDefault();
      fieldset.classList.toggle("over", kind === "dragover");
    });
  }
  document.addEventListener("drop", (event) => {
    const entry = event.dataTransfer.items[0]?.webkitGetAsEntry();
    if (event.target !== input) {
      say("Drop the folder on the field with the dashed line", "bad");
    } else if (entry && !entry.isDirectory) {
      event.preventDefault();
      say("That is one file: unpack the pack, and drop its folder", "bad");
    }
  });
}

if (typeof document !== "undefined") attach();
else module.exports = { checkPack, parseSignature };
