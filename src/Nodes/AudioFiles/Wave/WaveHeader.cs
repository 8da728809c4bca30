using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>What a RIFF, RF64 or BW64 file says about its sound, checked against the file itself.</summary>
/// <remarks>
/// <para>Chunks are walked by their size; nothing is believed past the end of the real file, and nothing is read but headers.</para>
/// <code>
/// load    PCM of 1 to 32 bits in whole bytes, valid bits at the top; float 32 and 64; extensible; fmt longer than needed;
///         chunks in any order, of odd size, with or without their pad byte; ds64, also for chunks beside data
/// warn    data size 0 or a placeholder (all to the end is sound); RF64 without ds64 (read as RIFF); file cut inside data (whole
///         frames are taken, the missing are told); data ends inside a frame; RIFF size is not the file's; more valid bits than bits
/// refuse  not RIFF; no fmt or data, or two of one; fmt too short, or contradicts itself; other codecs; 0 or more than 2 channels;
///         rate outside 8 to 384 kHz; no whole frame; more than 4,096 chunks before data
/// </code>
/// <para>From EBU Tech 3306 (RF64) and ITU-R BS.2088 (BW64); which oddity is loaded and which refused is our choice, and why is in README.md.</para>
/// </remarks>
/// <param name="Format">How samples lie in the file.</param>
/// <param name="DataOffset">Where the first frame begins, in bytes.</param>
/// <param name="LengthFrames">Whole frames that are really there; at least 1.</param>
internal sealed record WaveHeader(WaveFormatChunk Format, long DataOffset, long LengthFrames)
{
    /// <summary>Reads and judges, or reports why not and returns null.</summary>
    /// <exception cref="IOException">The file failed while it was read.</exception>
    public static WaveHeader? Read(SafeFileHandle file, StemReport report)
    {
        var warnings = new List<(DiagnosticCode Code, string Sentence, string Remedy)>();
        var header = new Judge(new ChunkWalk(file), (code, severity, sentence, remedy) =>
        {
            // A file that is refused gets one sentence: what would have been a warning is no longer worth telling.
            if (severity == Severity.Warning) warnings.Add((code, sentence, remedy));
            else report(code, severity, sentence, remedy);
        }).Read();
        if (header is null) return null;
        foreach (var (code, sentence, remedy) in warnings)
            report(code, Severity.Warning, sentence, remedy);
        return header;
    }

    private sealed class Judge(ChunkWalk walk, StemReport report)
    {
        private WaveFormatChunk? _format;
        private long _dataOffset = -1;
        private long _dataBytesTold;
        private bool _isDataOpen;

        public WaveHeader? Read()
        {
            if (walk.Open() is { } wrong)
                return Refuse(DiagnosticCode.StemNotAudio, wrong, "Export the part as a WAV file");
            while (walk.Next() is { } chunk)
            {
                switch (chunk.Name)
                {
                    case "fmt ":
                        if (_format is not null) return Damaged("it has two fmt chunks, and they may not agree");
                        _format = WaveFormatChunk.Read(walk.Content(chunk, WaveFormatChunk.Bytes), report);
                        if (_format is null) return null;
                        break;
                    case "data":
                        if (_dataOffset >= 0) return Damaged("it has two data chunks, and nobody can tell which is the sound");
                        _dataOffset = chunk.Offset;
                        _dataBytesTold = chunk.Bytes;
                        _isDataOpen = walk.IsOpenEnded(chunk);
                        if (_isDataOpen) walk.Stop();
                        break;
                }
            }

            var at = walk.Trouble is { } trouble ? $": {trouble}" : "";
            if (_format is null) return Damaged($"it has no fmt chunk, which tells how samples are stored{at}");
            if (_dataOffset < 0) return Damaged($"it has no data chunk, which holds the sound{at}");
            return Measure(_format);
        }

        private WaveHeader? Measure(WaveFormatChunk format)
        {
            var bytesThere = walk.FileBytes - _dataOffset;
            var bytes = _isDataOpen ? bytesThere : Math.Min(_dataBytesTold, bytesThere);
            var frames = bytes / format.BytesPerFrame;
            var framesTold = _dataBytesTold / format.BytesPerFrame;
            if (frames == 0)
            {
                return Refuse(DiagnosticCode.StemDamaged, "it holds no sound, not even one frame",
                    "Export it again, or take the stem out of the graph");
            }

            if (_isDataOpen)
            {
                Warn(Invariant($"its length was never filled in, as when a recording breaks off; all {frames:N0} frames to the end of the file are taken"),
                    "Check that it ends where it should, or export it again");
            }
            else if (framesTold > frames)
            {
                Warn(Invariant($"it ends early: its header tells of {framesTold:N0} frames, {frames:N0} are there, {framesTold - frames:N0} ({(double)(framesTold - frames) / format.SampleRateHz:0.000} s) are missing"),
                    "Copy or export it again; without the rest, silence follows");
            }
            else if (bytes % format.BytesPerFrame is var rest and > 0)
            {
                Warn(Invariant($"its sound ends inside a frame: the last {rest} of {bytes:N0} bytes are left out"), "Export it again if it does not end as it should");
            }
            else if (walk.IsWrongSize)
            {
                Warn(Invariant($"its header speaks of {walk.FileBytesTold:N0} bytes, but the file has {walk.FileBytes:N0}; all its sound is there"),
                    "Nothing need be done if it sounds right");
            }

            return new(format, _dataOffset, frames);
        }

        private void Warn(string sentence, string remedy) => report(DiagnosticCode.StemDamaged, Severity.Warning, sentence, remedy);

        private WaveHeader? Damaged(string sentence) => Refuse(DiagnosticCode.StemDamaged, sentence, "Export it again");

        private WaveHeader? Refuse(DiagnosticCode code, string sentence, string remedy)
        {
            report(code, Severity.Error, sentence, remedy);
            return null;
        }
    }
}
