using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Chunks;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>
/// What a file of the WAV family says about its sound, checked against the file itself: chunks are walked by their size, nothing is
/// believed past the end of the real file, and nothing is read but headers. What is loaded and what refused is listed in README.md.
/// </summary>
internal sealed class WaveHeader
{
    private readonly ChunkWalk _walk;
    private readonly bool _isBigEndian;
    private readonly StemReport _report;
    private WaveFormatChunk? _format;
    private long _dataOffset = -1;
    private long _dataBytesTold;
    private bool _isDataOpen;
    private long? _timeReferenceFrames;
    private OriginNote? _origin;

    private WaveHeader(ChunkWalk walk, bool isBigEndian, StemReport report) => (_walk, _isBigEndian, _report) = (walk, isBigEndian, report);

    /// <summary>Reads and judges, or reports why not and returns null.</summary>
    /// <exception cref="IOException">The file failed while it was read.</exception>
    public static StoredSound? Read(ChunkWalk walk, bool isBigEndian, StemReport report) => new WaveHeader(walk, isBigEndian, report).Read();

    private StoredSound? Read()
    {
        while (_walk.Next() is { } chunk)
        {
            switch (chunk.Name)
            {
                case "fmt ":
                    if (_format is not null) return Damaged("it has two fmt chunks, and they may not agree");
                    _format = WaveFormatChunk.Read(_walk.Content(chunk, WaveFormatChunk.Bytes), _isBigEndian, _report);
                    if (_format is null) return null;
                    break;
                case "data":
                    if (_dataOffset >= 0) return Damaged("it has two data chunks, and nobody can tell which is the sound");
                    _dataOffset = chunk.Offset;
                    _dataBytesTold = chunk.Bytes;
                    _isDataOpen = _walk.IsOpenEnded(chunk);
                    if (_isDataOpen) _walk.Stop();
                    break;
                case "bext":
                    var bext = _walk.Content(chunk, BroadcastChunk.MostBytes);
                    if (_origin is null && BroadcastChunk.TimeReferenceFrames(bext) is { } frames) (_timeReferenceFrames, _origin) = (frames, new(bext));
                    break;
            }
        }

        var at = _walk.Trouble is { } trouble ? $": {trouble}" : "";
        if (_format is null) return Damaged($"it has no fmt chunk, which tells how samples are stored{at}");
        if (_dataOffset < 0) return Damaged($"it has no data chunk, which holds the sound{at}");
        return Measure(_format);
    }

    private StoredSound? Measure(WaveFormatChunk format)
    {
        var hasWarned = false;
        var frames = StoredLength.Frames(
            _dataBytesTold, _isDataOpen, _walk.FileBytes - _dataOffset, format.Channels * StoredSound.BytesOf(format.Stored), format.SampleRateHz,
            (code, severity, sentence, remedy) =>
            {
                hasWarned = true;
                _report(code, severity, sentence, remedy);
            });
        if (frames is not { } length) return null;
        if (_walk.IsWrongSize && !hasWarned)
        {
            _report(DiagnosticCode.StemDamaged, Severity.Warning,
                Invariant($"its header speaks of {_walk.FileBytesTold:N0} bytes, but the file has {_walk.FileBytes:N0}; all its sound is there"),
                "Nothing need be done if it sounds right");
        }

        var sound = new Sound(format.SampleRateHz, format.Channels, length, format.Words) { Speakers = format.Speakers, TimeReferenceFrames = _timeReferenceFrames, Origin = _origin };
        return new(sound, format.Stored, _dataOffset);
    }

    private StoredSound? Damaged(string sentence)
    {
        _report(DiagnosticCode.StemDamaged, Severity.Error, sentence, "Export it again");
        return null;
    }
}
