using System.Numerics;
using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Diagnostics;
using RenderGraph.Nodes.AudioFiles.Channels;
using RenderGraph.Nodes.AudioFiles.Samples;
using RenderGraph.Nodes.Dsp;
using static System.FormattableString;

namespace RenderGraph.Nodes.AudioFiles.Decoding;

/// <summary>
/// Reads frames of a file that is decoded in order. What was decoded last is kept, so that threads which take neighbouring blocks in any
/// order find theirs; who asks for what is long past makes the decoder go back.
/// </summary>
internal sealed class DecodedReader : IStemReader
{
    private const int LeastKeptFrames = 1 << 16, MostKeptFrames = 1 << 20;

    private readonly Lock _lock = new();
    private readonly StemFile _file;
    private readonly Sound _sound;
    private readonly ChannelMap _map;
    private readonly ISequentialDecoder _decoder;
    private readonly double _amplitude;
    private readonly Signal _block, _mixed;
    private double[][] _kept;

    /// <summary>What is kept: frames from here to there.</summary>
    private long _from, _end;

    /// <param name="file">Is owned by the reader.</param>
    public DecodedReader(StemFile file, Sound sound, ChannelMap map, ISequentialDecoder decoder, double gainDb)
    {
        (_file, _sound, _map, _decoder) = (file, sound, map, decoder);
        _amplitude = gainDb == 0 ? 1 : Decibels.ToAmplitude(gainDb);
        _block = Signal.Allocate(sound.Channels, decoder.MostFrames);
        _mixed = Signal.Allocate(map.Channels, decoder.MostFrames);
        _kept = Keep(Math.Max(LeastKeptFrames, (int)BitOperations.RoundUpToPowerOf2((uint)decoder.MostFrames * 4)));
        Format = sound.FormatOf(map);
    }

    /// <inheritdoc/>
    public StemFormat Format { get; }

    /// <inheritdoc/>
    public void Read(long startFrame, Signal into)
    {
        ArgumentOutOfRangeException.ThrowIfNotEqual(into.Channels, _map.Channels, nameof(into));
        var inside = into.Inside(startFrame, _sound.LengthFrames, out var first);
        if (inside.Frames == 0)
            return;
        lock (_lock)
        {
            var most = (_kept[0].Length / 2) - _decoder.MostFrames;
            for (var done = 0; done < inside.Frames; done += most)
                ReadKept(first + done, inside.Slice(done, Math.Min(most, inside.Frames - done)));
        }
    }

    /// <inheritdoc/>
    public void CheckUnchanged() => _file.CheckUnchanged();

    /// <inheritdoc/>
    public void Dispose()
    {
        (_decoder as IDisposable)?.Dispose();
        _file.Dispose();
    }

    private void ReadKept(long first, Signal into)
    {
        if (first < _from) KeepMore();
        if (first < _from || first > _end + _kept[0].Length) _from = _end = _decoder.Seek(first);
        while (_end < first + into.Frames)
            DecodeBlock();

        for (var channel = 0; channel < into.Channels; channel++)
        {
            var plane = into[channel];
            var kept = _kept[channel];
            var at = (int)(first & (kept.Length - 1));
            var untilWrap = Math.Min(plane.Length, kept.Length - at);
            kept.AsSpan(at, untilWrap).CopyTo(plane);
            kept.AsSpan(0, plane.Length - untilWrap).CopyTo(plane[untilWrap..]);
        }
    }

    private void DecodeBlock()
    {
        var count = _decoder.Decode(_block);
        if (count == 0)
            throw _file.Damaged(Invariant($"its sound ends at frame {_end:N0} ({(double)_end / _sound.SampleRateHz:0.000} s), but its header tells of {_sound.LengthFrames:N0} frames"));
        var mixed = _mixed.Slice(0, count);
        _map.Mix(_block.Slice(0, count), mixed, _amplitude);
        var found = SampleDecoder.FirstNotFinite(mixed);
        if (found >= 0)
        {
            throw new StemException(DiagnosticCode.StemNotFinite, _file.Path,
                Invariant($"frame {_end + found:N0} ({(double)(_end + found) / _sound.SampleRateHz:0.000} s) is decoded to a sample that is not a finite number"), "Export it again");
        }

        for (var channel = 0; channel < mixed.Channels; channel++)
        {
            var plane = mixed[channel];
            var kept = _kept[channel];
            var at = (int)(_end & (kept.Length - 1));
            var untilWrap = Math.Min(count, kept.Length - at);
            plane[..untilWrap].CopyTo(kept.AsSpan(at));
            plane[untilWrap..].CopyTo(kept);
        }

        _end += count;
        _from = Math.Max(_from, _end - _kept[0].Length);
    }

    /// <summary>Somebody came too late for what was kept: more threads or longer blocks than were reckoned with. Going back costs more than memory.</summary>
    private void KeepMore()
    {
        if (_kept[0].Length >= MostKeptFrames) return;
        _kept = Keep(_kept[0].Length * 2);
        _from = _end;
    }

    private double[][] Keep(int frames) => [.. Enumerable.Range(0, _map.Channels).Select(_ => new double[frames])];
}
