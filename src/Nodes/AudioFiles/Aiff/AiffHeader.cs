using System.Buffers.Binary;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Chunks;
using RenderGraph.Nodes.AudioFiles.Samples;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Aiff;

/// <summary>What an AIFF or AIFF-C file says about its sound, checked against the file. What is loaded and what refused is listed in README.md.</summary>
internal sealed class AiffHeader
{
    /// <summary>Bytes before the sound in an SSND chunk: offset and block size.</summary>
    private const int SoundHeadBytes = 8;

    private readonly ChunkWalk _walk;
    private readonly bool _isCompressed;
    private readonly StemReport _report;
    private CommonChunk? _common;
    private Chunk? _sound;

    private AiffHeader(ChunkWalk walk, bool isCompressed, StemReport report) => (_walk, _isCompressed, _report) = (walk, isCompressed, report);

    /// <summary>Reads and judges, or reports why not and returns null.</summary>
    /// <param name="isCompressed">An AIFF-C file, which names a way of storing; not necessarily a compressed one.</param>
    public static StoredSound? Read(ChunkWalk walk, bool isCompressed, StemReport report) => new AiffHeader(walk, isCompressed, report).Read();

    private StoredSound? Read()
    {
        while (_walk.Next() is { } chunk)
        {
            switch (chunk.Name)
            {
                case "COMM":
                    if (_common is not null) return Damaged("it has two COMM chunks, and they may not agree");
                    _common = CommonChunk.Read(_walk.Content(chunk, CommonChunk.Bytes), _isCompressed, _report);
                    if (_common is null) return null;
                    break;
                case "SSND":
                    if (_sound is not null) return Damaged("it has two SSND chunks, and nobody can tell which is the sound");
                    _sound = chunk;
                    if (_walk.IsOpenEnded(chunk)) _walk.Stop();
                    break;
            }
        }

        var at = _walk.Trouble is { } trouble ? $": {trouble}" : "";
        if (_common is null) return Damaged($"it has no COMM chunk, which tells how samples are stored{at}");
        return _sound is { } sound ? Measure(_common, sound)
            : _common.LengthFrames > 0 ? Damaged($"it has no SSND chunk, which holds the sound{at}")
            : NoSound();
    }

    private StoredSound? Measure(CommonChunk common, Chunk chunk)
    {
        var head = _walk.Content(chunk with { Bytes = SoundHeadBytes }, SoundHeadBytes);
        if (head.Length < SoundHeadBytes) return NoSound();
        long skip = BinaryPrimitives.ReadUInt32BigEndian(head);
        var dataOffset = chunk.Offset + SoundHeadBytes + skip;
        var bytesPerFrame = common.Channels * StoredSound.BytesOf(common.Stored);
        var bytesThere = _walk.FileBytes - dataOffset;
        if (!_walk.IsOpenEnded(chunk)) bytesThere = Math.Min(bytesThere, chunk.Bytes - SoundHeadBytes - skip);
        var hasWarned = false;
        var frames = StoredLength.Frames(
            common.LengthFrames * bytesPerFrame, common.LengthFrames == 0, bytesThere, bytesPerFrame, common.SampleRateHz, (code, severity, sentence, remedy) =>
        {
            hasWarned = true;
            _report(code, severity, sentence, remedy);
        });
        if (frames is not { } length) return null;
        if (!hasWarned && bytesThere / bytesPerFrame > length)
            Warn(Invariant($"its header tells of {length:N0} frames, but {bytesThere / bytesPerFrame:N0} are there; the first {length:N0} are taken"), "Export it again if it does not end as it should");
        else if (!hasWarned && _walk.IsWrongSize)
            Warn(Invariant($"its header speaks of {_walk.FileBytesTold:N0} bytes, but the file has {_walk.FileBytes:N0}; all its sound is there"), "Nothing need be done if it sounds right");
        return new(new(common.SampleRateHz, common.Channels, length, common.Words), common.Stored, dataOffset);
    }

    private void Warn(string sentence, string remedy) => _report(DiagnosticCode.StemDamaged, Severity.Warning, sentence, remedy);

    private StoredSound? NoSound()
    {
        _report(DiagnosticCode.StemDamaged, Severity.Error, "it holds no sound, not even one frame", "Export it again, or take the stem out of the graph");
        return null;
    }

    private StoredSound? Damaged(string sentence)
    {
        _report(DiagnosticCode.StemDamaged, Severity.Error, sentence, "Export it again");
        return null;
    }
}
