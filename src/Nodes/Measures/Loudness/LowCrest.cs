using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Loudness;

/// <summary>
/// Peak and power of the bands up to 300 Hz, at a rate of their own: a power of two below the song's, 5 to 10 kHz, where eight filters cost what one costs at the full rate. What lies above 1 kHz, more than
/// 20 dB down in each of them, is cut off on the way. A peak between two samples is read from the parabola through the three highest: within 0.02 dB of the full rate, 0.1 dB of white noise.
/// </summary>
internal sealed class LowCrest
{
    // Steep filters hold some samples when a signal ends.
    private const int EndRoom = 64;

    private const double PassHz = 1000, LeastRateHz = 5000;

    // So near to the peak a hop may hold a higher one between its samples.
    private const double PromisingShare = 0.97;

    private readonly int _channels;
    private readonly Decimator[] _decimators;
    private readonly SectionBank _bank;
    private readonly Signal _low;
    private readonly Signal[] _inputs, _outputs, _filtered;
    private readonly double[] _energies;
    private long _frames;

    /// <param name="bands">All of them with two corners.</param>
    /// <param name="mostFrames">No hop is longer.</param>
    public LowCrest(IReadOnlyList<CrestBand> bands, int sampleRateHz, int channels, int mostFrames)
    {
        var factor = 1;
        while (sampleRateHz / (2.0 * factor) >= LeastRateHz)
            factor *= 2;
        var rateHz = sampleRateHz / factor;
        _channels = channels;
        _decimators = [.. Enumerable.Range(0, channels).Select(_ => new Decimator(factor, PassHz, sampleRateHz, mostFrames))];
        _bank = new([.. bands.Select(band => (channels, band.Sections(rateHz)))]);
        var room = Decimator.MostSamples(mostFrames, factor) + EndRoom;
        _low = Signal.Allocate(channels, room);
        _filtered = [.. bands.Select(_ => Signal.Allocate(channels, room))];
        (_inputs, _outputs) = (new Signal[bands.Count], new Signal[bands.Count]);
        (Peaks, _energies) = (new double[bands.Count], new double[bands.Count]);
    }

    /// <summary>Of each band, the largest so far.</summary>
    public double[] Peaks { get; }

    /// <summary>Of a band, over all channels.</summary>
    public double MeanSquare(int band) => _frames == 0 ? 0 : _energies[band] / ((double)_frames * _channels);

    /// <summary>Takes the next hop.</summary>
    public void Hear(Signal hop)
    {
        var count = 0;
        for (var channel = 0; channel < _channels; channel++)
            count = _decimators[channel].Process(hop[channel], _low[channel]);
        Look(count);
    }

    /// <summary>After the last hop.</summary>
    public void End()
    {
        var count = 0;
        for (var channel = 0; channel < _channels; channel++)
            count = _decimators[channel].Finish(_low[channel]);
        Look(count);
    }

    private void Look(int count)
    {
        for (var band = 0; band < _filtered.Length; band++)
            (_inputs[band], _outputs[band]) = (_low.Slice(0, count), _filtered[band].Slice(0, count));
        _bank.Process(_frames, _inputs, _outputs);
        _frames += count;
        for (var band = 0; band < _filtered.Length; band++)
        {
            for (var channel = 0; channel < _channels; channel++)
            {
                var samples = _outputs[band][channel];
                _energies[band] += Energy.Of(samples);
                if (Dsp.Peaks.Largest(samples) > PromisingShare * Peaks[band])
                    Peaks[band] = Highest(samples, Peaks[band]);
            }
        }
    }

    private static double Highest(ReadOnlySpan<double> samples, double peak)
    {
        peak = Dsp.Peaks.Largest(samples, peak);
        for (var index = 1; index + 1 < samples.Length; index++)
        {
            var (before, at, after) = (samples[index - 1], samples[index], samples[index + 1]);
            var bend = before - (2 * at) + after;
            if (Math.Abs(at) > PromisingShare * peak && (at > 0 ? bend < 0 && at >= before && at >= after : bend > 0 && at <= before && at <= after))
                peak = Math.Max(peak, Math.Abs(at - ((before - after) * (before - after) / (8 * bend))));
        }

        return peak;
    }
}
