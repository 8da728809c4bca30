#!/usr/bin/env python3
"""Makes the small audio files beside it and manifest.json, which says what libsndfile reads from each.

    python3 make_audio_files.py

Wants flac (the reference encoder), libsndfile and ffmpeg. The files were made with the versions named in the manifest; the sound is of our
own invention, by whole-number arithmetic, so that every machine makes the same.
"""
import ctypes, ctypes.util, hashlib, json, os, struct, subprocess, sys, tempfile

os.chdir(os.path.dirname(os.path.abspath(__file__)))
sf = ctypes.CDLL(ctypes.util.find_library("sndfile"))


class Info(ctypes.Structure):
    _fields_ = [("frames", ctypes.c_int64), ("samplerate", ctypes.c_int), ("channels", ctypes.c_int),
                ("format", ctypes.c_int), ("sections", ctypes.c_int), ("seekable", ctypes.c_int)]


sf.sf_open.restype = ctypes.c_void_p
sf.sf_open.argtypes = [ctypes.c_char_p, ctypes.c_int, ctypes.POINTER(Info)]
sf.sf_close.argtypes = [ctypes.c_void_p]
for name in ("sf_readf_double", "sf_writef_double", "sf_writef_int", "sf_write_raw"):
    getattr(sf, name).argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int64]
    getattr(sf, name).restype = ctypes.c_int64
sf.sf_version_string.restype = ctypes.c_char_p

WAV, AIFF, W64, WAVEX, RF64, FLAC = 0x010000, 0x020000, 0x0B0000, 0x130000, 0x220000, 0x170000
S8, PCM16, PCM24, PCM32, U8, FLOAT, DOUBLE, ULAW, ALAW = 1, 2, 3, 4, 5, 6, 7, 0x10, 0x11
LITTLE, BIG = 0x10000000, 0x20000000


def lcg(seed):
    while True:
        seed = (seed * 1103515245 + 12345) & 0x7FFFFFFF
        yield (seed >> 15) - 32768 + (seed & 1)


def sound(frames, channels, bits, kind="music", seed=7):
    """Interleaved integers of so many bits: a slow triangle, a faster one, a little noise; hard corners on purpose."""
    noise = lcg(seed)
    top = (1 << (bits - 1)) - 1
    rows = []
    for n in range(frames):
        for c in range(channels):
            if kind == "silence":
                value = 0
            elif kind == "constant":
                value = top // 3 * (-1 if c else 1)
            elif kind == "noise":
                value = (next(noise) << 16 | next(noise) & 0xFFFF) >> (32 - bits)
            else:
                slow = abs((n + 37 * c) % 800 - 400) - 200
                fast = abs((n * (5 + c)) % 240 - 120) - 60
                value = (slow * 90 + fast * 120 + next(noise) // 256) * (1 << bits) // (1 << 16)
                if n == 10:
                    value = top
                if n == 11:
                    value = -top - 1
                if kind == "wasted":
                    value = value >> 7 << 7
            rows.append(max(-top - 1, min(top, value)))
    return rows


def wav(path, rows, channels, bits, rate=48000):
    size = (bits + 7) // 8
    shift = size * 8 - bits
    if size == 1:
        data = bytes((v << shift) + 128 for v in rows)
    else:
        data = b"".join((v << shift).to_bytes(size, "little", signed=True) for v in rows)
    fmt = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * size, channels * size, size * 8)
    if bits != size * 8 or channels > 2:
        mask = {1: 4, 2: 3, 3: 7, 4: 0x33, 5: 0x37, 6: 0x3F, 7: 0x70F, 8: 0x63F}.get(channels, 0)
        fmt = struct.pack("<HHIIHHHHIH", 0xFFFE, channels, rate, rate * channels * size, channels * size, size * 8, 22, bits, mask, 1)
        fmt += bytes([0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xAA, 0, 0x38, 0x9B, 0x71])
    body = b"WAVEfmt " + struct.pack("<I", len(fmt)) + fmt + b"data" + struct.pack("<I", len(data)) + data + b"\0" * (len(data) & 1)
    with open(path, "wb") as out:
        out.write(b"RIFF" + struct.pack("<I", len(body)) + body)


def flac(name, frames=4000, channels=2, bits=16, kind="music", rate=48000, args=(), stream=False, prefix=b"", suffix=b""):
    with tempfile.NamedTemporaryFile(suffix=".wav") as source:
        wav(source.name, sound(frames, channels, bits, kind), channels, bits, rate)
        base = ["flac", "--silent", "--no-padding", "--lax", *args]
        if stream:
            with open(source.name, "rb") as raw:
                made = subprocess.run([*base, "--ignore-chunk-sizes", "-", "--stdout"], stdin=raw, capture_output=True, check=True).stdout
        else:
            made = subprocess.run([*base, "--stdout", source.name], capture_output=True, check=True).stdout
    with open(name, "wb") as out:
        out.write(prefix + made + suffix)


def sndfile(name, format, channels, rows, rate=48000, raw=None):
    info = Info(0, rate, channels, format, 0, 0)
    handle = sf.sf_open(name.encode(), 0x20, ctypes.byref(info))
    assert handle, name
    if raw is not None:
        assert sf.sf_write_raw(handle, raw, len(raw)) == len(raw)
    elif isinstance(rows[0], float):
        data = (ctypes.c_double * len(rows))(*rows)
        sf.sf_writef_double(handle, data, len(rows) // channels)
    else:
        data = (ctypes.c_int32 * len(rows))(*rows)
        sf.sf_writef_int(handle, data, len(rows) // channels)
    sf.sf_close(handle)


def read(name):
    info = Info()
    handle = sf.sf_open(name.encode(), 0x10, ctypes.byref(info))
    if not handle:
        return None
    most = 200000
    data = (ctypes.c_double * (most * info.channels))()
    frames = sf.sf_readf_double(handle, data, most)
    sf.sf_close(handle)
    values = data[:frames * info.channels]
    return info, frames, values


def decode_flac(name):
    """What the reference decoder makes of it: rate, channels, and integers over 2^(bits-1)."""
    with tempfile.NamedTemporaryFile(suffix=".wav") as out:
        subprocess.run(["flac", "--silent", "-d", "-f", "-F", "-o", out.name, name] + (["--ogg"] if name.endswith("ogg") else []), check=True, capture_output=True)
        data = open(out.name, "rb").read()
    fmt = data.index(b"fmt ") + 8
    channels, rate = struct.unpack_from("<HI", data, fmt + 2)
    size = struct.unpack_from("<H", data, fmt + 14)[0] // 8
    at = data.index(b"data") + 8
    body = data[at:at + struct.unpack_from("<I", data, at - 4)[0]]
    if size == 1:
        values = [(b - 128) / 128 for b in body]
    else:
        values = [int.from_bytes(body[i:i + size], "little", signed=True) / 2 ** (8 * size - 1) for i in range(0, len(body) - size + 1, size)]
    return rate, channels, values


def ffmpeg(name, source, *args):
    subprocess.run(["ffmpeg", "-loglevel", "error", "-y", "-i", source, "-bitexact", "-map_metadata", "-1", *args, name], check=True)


ID3 = b"ID3\x04\x00\x00" + bytes([0, 0, 1, 0x10]) + b"\0" * 144


def make():
    for bits in (8, 16, 20, 24, 32):
        flac(f"flac-{bits}.flac", bits=bits, frames=3000, args=["-8"])
    for channels in (1, 3, 6, 8):
        flac(f"flac-{channels}ch.flac", channels=channels, frames=1200, args=["-8"])
    flac("flac-fast.flac", args=["-0"])
    flac("flac-best.flac", bits=24, args=["-8", "-p", "-e", "-l", "32", "-b", "1152", "-r", "8"])
    flac("flac-blocks-16.flac", frames=500, args=["-5", "-b", "16"])
    flac("flac-blocks-65535.flac", frames=9000, args=["-5", "-b", "65535"])
    flac("flac-silence.flac", kind="silence", frames=20000)
    flac("flac-constant.flac", kind="constant", frames=5000)
    flac("flac-noise.flac", kind="noise", frames=1500, bits=24)
    flac("flac-noise-32.flac", kind="noise", frames=1000, bits=32)
    flac("flac-wasted.flac", kind="wasted", bits=24, frames=3000, args=["-8"])
    flac("flac-escape.flac", kind="noise", bits=16, frames=1500, args=["--disable-constant-subframes", "--disable-verbatim-subframes", "-l", "0", "-r", "3"])
    flac("flac-stream.flac", frames=3000, stream=True)
    flac("flac-id3.flac", frames=1500, prefix=ID3, suffix=b"TAG" + b"\0" * 125)
    flac("flac-seekable.flac", frames=12000, channels=1, args=["-8", "-b", "1024", "-S", "4x"])
    flac("flac-44100.flac", frames=1500, rate=44100)
    flac("flac-12345.flac", frames=1500, rate=12345)
    flac("flac-ogg.ogg", frames=1500, args=["--ogg", "--serial-number=5"])

    music = {bits: sound(160, 2, bits) for bits in (16, 24, 32)}
    ints = [v for v in music[32]]
    floats = [v / 2**30 * 1.000001 for v in music[32]]
    codes = bytes(range(256))
    sndfile("all-codes-alaw.wav", WAV | ALAW, 1, None, rate=8000, raw=codes)
    sndfile("all-codes-ulaw.wav", WAV | ULAW, 1, None, rate=8000, raw=codes)
    sndfile("alaw.aifc", AIFF | ALAW, 2, ints)
    sndfile("ulaw.aifc", AIFF | ULAW, 2, ints)
    sndfile("s8.aiff", AIFF | S8, 2, ints)
    sndfile("pcm32.aiff", AIFF | PCM32, 2, ints)
    sndfile("fl64.aifc", AIFF | DOUBLE, 2, floats)
    sndfile("fl32.aifc", AIFF | FLOAT, 2, floats)
    sndfile("sowt24.aifc", AIFF | PCM24 | LITTLE, 2, ints)
    sndfile("sowt32.aifc", AIFF | PCM32 | LITTLE, 2, ints)
    sndfile("raw.aifc", AIFF | U8, 2, ints)
    sndfile("rifx16.wav", WAV | PCM16 | BIG, 2, ints)
    sndfile("rifx24.wav", WAV | PCM24 | BIG, 2, ints)
    sndfile("rifx32.wav", WAV | PCM32 | BIG, 2, ints)
    sndfile("rifx-float.wav", WAV | FLOAT | BIG, 2, floats)
    sndfile("rifx-double.wav", WAV | DOUBLE | BIG, 2, floats)
    sndfile("pcm24.w64", W64 | PCM24, 2, ints)
    sndfile("float.w64", W64 | FLOAT, 2, floats)
    sndfile("alaw.w64", W64 | ALAW, 1, ints)
    sndfile("pcm24.rf64", RF64 | PCM24, 2, ints)
    sndfile("8ch.wav", WAVEX | PCM16, 8, sound(40, 8, 32))
    sndfile("32ch.wav", WAV | PCM16, 32, sound(20, 32, 32))

    with tempfile.NamedTemporaryFile(suffix=".wav") as source:
        wav(source.name, sound(9600, 2, 16), 2, 16)
        ffmpeg("vorbis-2.ogg", source.name, "-c:a", "libvorbis", "-q:a", "4", "-serial_offset", "7")
        ffmpeg("mp3-lame.mp3", source.name, "-c:a", "libmp3lame", "-b:a", "128k", "-id3v2_version", "0")
        ffmpeg("mp3-id3.mp3", source.name, "-c:a", "libmp3lame", "-q:a", "3")
        ffmpeg("mp3-no-header.mp3", source.name, "-c:a", "libmp3lame", "-b:a", "128k", "-id3v2_version", "0", "-write_xing", "0")
        wav(source.name, sound(9600, 1, 16), 1, 16, 22050)
        ffmpeg("mp3-22050-mono.mp3", source.name, "-c:a", "libmp3lame", "-b:a", "48k", "-id3v2_version", "0")
        wav(source.name, sound(9600, 1, 16), 1, 16)
        ffmpeg("opus.ogg", source.name, "-c:a", "libopus", "-b:a", "48k", "-serial_offset", "7")
        wav(source.name, sound(2400, 6, 16), 6, 16)
        ffmpeg("vorbis-6ch.ogg", source.name, "-c:a", "libvorbis", "-q:a", "2", "-serial_offset", "7")




def manifest():
    flac_version = subprocess.run(["flac", "--version"], capture_output=True, text=True).stdout.strip()
    ffmpeg_version = subprocess.run(["ffmpeg", "-version"], capture_output=True, text=True).stdout.split("\n")[0].split(" Copyright")[0]
    files = []
    for name in sorted(os.listdir(".")):
        if name.endswith((".py", ".json")):
            continue
        by_libsndfile = read(name)
        entry = {"file": name}
        if name.startswith("flac"):
            rate, channels, values = decode_flac(name)
            entry["decoded_by"] = "flac"
            entry["libsndfile_agrees"] = None if by_libsndfile is None else list(by_libsndfile[2]) == values
        else:
            info, _, values = by_libsndfile
            rate, channels = info.samplerate, info.channels
            entry["decoded_by"] = "libsndfile"
        lossy = name.startswith(("mp3", "vorbis", "opus"))
        entry |= {"rate_hz": rate, "channels": channels, "frames": len(values) // channels, "exact": not lossy}
        if lossy:
            entry["first_32_frames"] = [values[i * channels:(i + 1) * channels] for i in range(32)]
            entry["frames_4000_to_4032"] = [values[i * channels:(i + 1) * channels] for i in range(4000, 4032)]
        else:
            entry["md5_of_f64le"] = hashlib.md5(struct.pack(f"<{len(values)}d", *values)).hexdigest()
            entry["first_4_frames"] = [values[i * channels:(i + 1) * channels] for i in range(4)]
        files.append(entry)
    with open("manifest.json", "w") as out:
        out.write('{\n"made_by": "make_audio_files.py",\n"read_by": ' + json.dumps(sf.sf_version_string().decode()) + ',\n"encoders": ' + json.dumps([flac_version, ffmpeg_version]))
        out.write(',\n"units": "full scale is 1; integers divided by 2^(bits-1)",\n"files": [\n')
        out.write(",\n".join(json.dumps(entry) for entry in files))
        out.write("\n]\n}\n")


if __name__ == "__main__":
    make()
    manifest()
