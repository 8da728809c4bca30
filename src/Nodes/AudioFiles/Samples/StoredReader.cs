using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.Dsp;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Samples;

/// <summary>
/// Reads frames where they lie. Any number of threads may read at once.
/// A frame is named in messages as counted from 0.
/// </summary>
/// <remarks>
/// NAudio's reader is not used here: it hands samples out as float only, shortens cut data without a word, takes the chunks after
/// a placeholder size for sound, and misreads 64-bit float. It judges our output in the tests.
/// </remarks>
internal sealed class StoredReader(StemFile file, StoredSound stored, ChannelMap map, double gainDb) : IStemReader
{
    [ThreadStatic]
    private static double[]? scratch;

    private readonly StemWindow _window = new(file, stored.DataOffset, stored.DataOffset + (stored.Sound.LengthFrames * stored.BytesPerFrame));
    private readonly double _amplitude = gainDb == 0 ? 1 : Decibels.ToAmplitude(gainDb);

    /// <inheritdoc/>
    public StemFormat Format { get; } = stored.Sound.FormatOf(map);

    /// <inheritdoc/>
    public void Read(long startFrame, Signal into)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(into.Channels, map.Channels, nameof(into));
        var inside = into.Inside(startFrame, stored.Sound.LengthFrames, out var first);
        ReadFrames(first, inside);
    }

    /// <inheritdoc/>
    public void CheckUnchanged() => file.CheckUnchanged();

    /// <inheritdoc/>
    public void Dispose() => file.Dispose();

    private void ReadFrames(long first, Signal into)
    {
        var framesAtOnce = StemWindow.Bytes / stored.BytesPerFrame;
        for (var done = 0; done < into.Frames; done += framesAtOnce)
        {
            var part = into.Slice(done, Math.Min(framesAtOnce, into.Frames - done));
            var bytes = _window.At(stored.DataOffset + ((first + done) * stored.BytesPerFrame), part.Frames * stored.BytesPerFrame);
            if (map.IsPlain) SampleDecoder.Decode(stored.Stored, bytes, _amplitude, part);
            else DecodeMapped(bytes, part);
            if (stored.IsFloat) CheckFinite(part, first + done);
        }
    }

    private void DecodeMapped(ReadOnlySpan<byte> bytes, Signal into)
    {
        for (var channel = 0; channel < into.Channels; channel++)
        {
            var plane = into[channel];
            var shares = map.SharesOf(channel);
            SampleDecoder.DecodeChannel(stored.Stored, bytes, map.FileChannels, shares[0].Channel, _amplitude * shares[0].Amplitude, plane);
            foreach (var share in shares[1..])
            {
                var other = (scratch ??= new double[StemWindow.Bytes]).AsSpan(0, plane.Length);
                SampleDecoder.DecodeChannel(stored.Stored, bytes, map.FileChannels, share.Channel, _amplitude, other);
                ChannelMap.Add(other, share.Amplitude, plane, isFirst: false);
            }
        }
    }

    private void CheckFinite(Signal part, long first)
    {
        var found = SampleDecoder.FirstNotFinite(part);
        if (found < 0) return;
        var frame = first + found;
        throw new StemException(DiagnosticCode.StemNotFinite, file.Path,
            Invariant($"frame {frame:N0} ({(double)frame / Format.SampleRateHz:0.000} s) holds a sample that is not a finite number"),
            "Export it again; a plug-in of the session that made it has probably failed there");
    }
}
