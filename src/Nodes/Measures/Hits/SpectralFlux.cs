using NWaves.Transforms;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Hits;

/// <summary>A moment at which more sets in than shortly before and after it.</summary>
/// <param name="Sample">About where, in samples of the low rate.</param>
/// <param name="Flux">How much sets in: amplitude, on no particular scale.</param>
/// <param name="LowShare">How much of it lies in the low band.</param>
internal readonly record struct Peak(double Sample, double Flux, double LowShare);

/// <summary>
/// Spectral flux (S. Dixon, "Onset detection revisited", DAFx 2006): the sum over all bins of what has grown between two short spectra. As in S. Boeck and G. Widmer, "Maximum
/// filter vibrato suppression for onset detection", DAFx 2013, a bin is held against its neighbours of before, so that a drum whose pitch falls does not seem to set in again.
/// </summary>
internal sealed class SpectralFlux
{
    /// <summary>Samples from one spectrum to the next: 4 to 8 ms.</summary>
    public const int HopSamples = 16;

    private const int WindowSamples = 128, LagHops = 3, PeakHops = 4, LowBins = 8;
    private const int BinCount = (WindowSamples / 2) + 1;

    private readonly RealFft64 _transform = new(WindowSamples);
    private readonly double[] _window = new double[WindowSamples];
    private readonly double[] _samples = new double[WindowSamples];
    private readonly double[] _windowed = new double[WindowSamples], _real = new double[BinCount], _imaginary = new double[BinCount];
    private readonly double[][] _magnitudes = new double[LagHops + 1][];
    private readonly (double Flux, double Low)[] _last = new (double, double)[(2 * PeakHops) + 1];
    private int _hops, _waiting = WindowSamples - HopSamples;
    private long _count;

    public SpectralFlux()
    {
        for (var index = 0; index < WindowSamples; index++)
            _window[index] = (1 - PortableMath.Cos(2 * Math.PI * (index + 0.5) / WindowSamples)) / 2;
        for (var hop = 0; hop < _magnitudes.Length; hop++)
            _magnitudes[hop] = new double[BinCount];
    }

    /// <summary>Takes the next samples of the low rate, none past the end of a hop; once a hop is whole, tells whether there was a peak some hops ago.</summary>
    public Peak? Take(ReadOnlySpan<double> samples)
    {
        samples.CopyTo(_samples.AsSpan(_waiting));
        _waiting += samples.Length;
        _count += samples.Length;
        if (_waiting < WindowSamples)
            return null;
        var peak = TakeHop();
        _waiting -= HopSamples;
        _samples.AsSpan(HopSamples).CopyTo(_samples);
        return peak;
    }

    private Peak? TakeHop()
    {
        for (var index = 0; index < WindowSamples; index++)
            _windowed[index] = _window[index] * _samples[index];
        _transform.Direct(_windowed, _real, _imaginary);
        var (now, before) = (_magnitudes[_hops % _magnitudes.Length], _magnitudes[(_hops + 1) % _magnitudes.Length]);
        var (flux, low) = (0.0, 0.0);
        for (var bin = 1; bin < BinCount; bin++)
            now[bin] = Math.Sqrt((_real[bin] * _real[bin]) + (_imaginary[bin] * _imaginary[bin]));
        for (var bin = 1; bin < BinCount; bin++)
        {
            var grown = now[bin] - Math.Max(before[bin], Math.Max(before[bin - 1], before[Math.Min(bin + 1, BinCount - 1)]));
            if (grown <= 0)
                continue;
            flux += grown;
            low += bin <= LowBins ? grown : 0;
        }

        _last[_hops % _last.Length] = (flux, low);
        _hops++;

        // The middle of the last hops: as many before it as after.
        var middle = _last[(_hops - 1 - PeakHops + _last.Length) % _last.Length];
        if (_hops <= PeakHops || middle.Flux <= 0 || !IsPeak(middle.Flux))
            return null;
        var centre = _count - (PeakHops * HopSamples) - (WindowSamples / 2.0) - (LagHops * HopSamples / 2.0);
        return new(centre, middle.Flux, middle.Low / middle.Flux);
    }

    // Among equals the earliest is the peak.
    private bool IsPeak(double flux)
    {
        for (var hop = 0; hop < _last.Length; hop++)
        {
            var other = _last[(_hops - 1 - hop + (2 * _last.Length)) % _last.Length].Flux;
            if (hop < PeakHops ? other > flux : hop > PeakHops && other >= flux)
                return false;
        }

        return true;
    }
}
