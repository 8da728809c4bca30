using NWaves.Transforms;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>The strongest tone of some stretch of sound.</summary>
/// <param name="Energy">On no particular scale.</param>
/// <param name="Purity">How much of the energy between 20 and 300 Hz is its own, from 0 to 1.</param>
internal readonly record struct Tone(double FrequencyHz, double Energy, double Purity);

/// <summary>
/// Looks for the strongest tone between 20 and 300 Hz: raised-cosine window, spectrum padded with zeros, and a parabola through the logarithms of the largest bin and its
/// neighbours (J. Smith, "Spectral Audio Signal Processing", quadratic interpolation of spectral peaks). A tone that dies away makes the peak wider, not askew.
/// </summary>
internal sealed class LowSpectrum(double rateHz)
{
    private const double LowestHz = 20, HighestHz = 300;
    private const double SilentPower = 1e-20;
    private const int TransformSamples = 4096;

    private readonly RealFft64 _transform = new(TransformSamples);
    private readonly double[] _padded = new double[TransformSamples], _real = new double[(TransformSamples / 2) + 1], _imaginary = new double[(TransformSamples / 2) + 1];
    private readonly double[] _powers = new double[(int)(HighestHz * TransformSamples / rateHz) + 2];

    /// <summary>The strongest tone of at most 4,096 samples; null in silence, and where what is strongest lies outside.</summary>
    public Tone? StrongestTone(ReadOnlySpan<double> samples)
    {
        Array.Clear(_padded);
        for (var index = 0; index < samples.Length; index++)
            _padded[index] = samples[index] * (1 - PortableMath.Cos(2 * Math.PI * (index + 0.5) / samples.Length)) / 2;
        _transform.Direct(_padded, _real, _imaginary);
        for (var bin = 0; bin < _powers.Length; bin++)
            _powers[bin] = (_real[bin] * _real[bin]) + (_imaginary[bin] * _imaginary[bin]);

        var binHz = rateHz / TransformSamples;
        var lowest = (int)Math.Ceiling(LowestHz / binHz);
        var peak = lowest;
        for (var bin = lowest + 1; bin < _powers.Length - 1; bin++)
            peak = _powers[bin] > _powers[peak] ? bin : peak;
        if (_powers[peak] < SilentPower || _powers[peak - 1] > _powers[peak] || _powers[peak + 1] > _powers[peak])
            return null;

        // The window spreads a tone over two bins of its own to either side, each as wide as the padding is long.
        var lobe = (int)Math.Ceiling(2.0 * TransformSamples / samples.Length);
        var (own, all) = (0.0, 0.0);
        for (var bin = lowest; bin < _powers.Length; bin++)
        {
            all += _powers[bin];
            own += Math.Abs(bin - peak) <= lobe ? _powers[bin] : 0;
        }

        var (before, at, after) = (PortableMath.Log2(_powers[peak - 1]), PortableMath.Log2(_powers[peak]), PortableMath.Log2(_powers[peak + 1]));
        var offset = before + after == 2 * at ? 0 : (before - after) / (2 * (before - (2 * at) + after));
        return new((peak + offset) * binHz, own, own / all);
    }
}
