using Microsoft.Win32.SafeHandles;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Samples;
using RenderGraph.Nodes.Dsp;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Wave;

/// <summary>
/// Reads frames where they lie: no position, so any number of threads may read at once. The only buffer is one a thread, 64 KiB.
/// A frame is named in messages as counted from 0.
/// </summary>
/// <remarks>
/// NAudio's reader is not used here: it hands samples out as float only, shortens cut data without a word, takes the chunks after
/// a placeholder size for sound, and misreads 64-bit float. It judges our output in the tests.
/// </remarks>
internal sealed class WaveReader(SafeFileHandle file, string path, WaveHeader header, double gainDb) : IStemReader
{
    private const int BufferBytes = 64 * 1024;

    [ThreadStatic]
    private static byte[]? buffer;

    private readonly WaveFormatChunk _stored = header.Format;
    private readonly double _amplitude = gainDb == 0 ? 1 : Decibels.ToAmplitude(gainDb);

    /// <inheritdoc/>
    public StemFormat Format { get; } = new(header.Format.SampleRateHz, header.Format.Channels, header.LengthFrames, header.Format.Words);

    /// <inheritdoc/>
    public void Read(long startFrame, Signal into)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(into.Channels, _stored.Channels, nameof(into));
        var first = Math.Clamp(startFrame, 0, header.LengthFrames);
        var end = Math.Clamp(startFrame + into.Frames, first, header.LengthFrames);
        if (end == first)
        {
            into.Clear();
            return;
        }

        var before = (int)(first - startFrame);
        var count = (int)(end - first);
        into.Slice(0, before).Clear();
        ReadFrames(first, into.Slice(before, count));
        into.Slice(before + count, into.Frames - before - count).Clear();
    }

    /// <inheritdoc/>
    public void Dispose() => file.Dispose();

    private void ReadFrames(long first, Signal into)
    {
        var bytes = buffer ??= new byte[BufferBytes + SampleDecoder.SlackBytes];
        var framesAtOnce = BufferBytes / _stored.BytesPerFrame;
        for (var done = 0; done < into.Frames; done += framesAtOnce)
        {
            var part = into.Slice(done, Math.Min(framesAtOnce, into.Frames - done));
            Fill(bytes.AsSpan(0, part.Frames * _stored.BytesPerFrame), header.DataOffset + ((first + done) * _stored.BytesPerFrame));
            SampleDecoder.Decode(_stored.Stored, bytes, _amplitude, part);
            if (_stored.Stored is StoredSamples.Float32 or StoredSamples.Float64) CheckFinite(part, first + done);
        }
    }

    private void Fill(Span<byte> bytes, long offset)
    {
        try
        {
            while (!bytes.IsEmpty)
            {
                var read = RandomAccess.Read(file, bytes, offset);
                if (read == 0)
                {
                    throw new StemException(DiagnosticCode.StemDamaged, path, Invariant($"the file has become shorter since it was opened: byte {offset:N0} is gone"),
                        "Render again when nothing writes to it any more");
                }

                bytes = bytes[read..];
                offset += read;
            }
        }
        catch (IOException failure)
        {
            throw new StemException(DiagnosticCode.StemUnreadable, path, $"the file can no longer be read ({failure.Message.TrimEnd('.')})",
                "Check the disk or the connection to it", failure);
        }
    }

    private void CheckFinite(Signal part, long first)
    {
        var found = SampleDecoder.FirstNotFinite(part);
        if (found < 0) return;
        var frame = first + found;
        throw new StemException(DiagnosticCode.StemNotFinite, path,
            Invariant($"frame {frame:N0} ({(double)frame / Format.SampleRateHz:0.000} s) holds a sample that is not a finite number"),
            "Export it again; a plug-in of the session that made it has probably failed there");
    }
}
