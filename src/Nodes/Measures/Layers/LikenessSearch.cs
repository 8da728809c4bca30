using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Spectra;

namespace RenderGraph.Nodes.Measures.Layers;

/// <summary>Finds the delay and polarity at which two low ends are most alike, from their cross-spectrum (the plain cross-correlation of C. H. Knapp and G. C. Carter 1976, without weighting).</summary>
internal sealed class LikenessSearch
{
    private const double MostDelayMs = 20, CoarseMs = 0.25, FineMs = 0.01;

    private readonly SpectralMatrix _matrix;
    private readonly double[] _shares;
    private readonly double[] _cos, _sin;
    private readonly int _steps = (int)(2 * MostDelayMs / CoarseMs) + 1;

    /// <summary>For the stems of a matrix.</summary>
    public LikenessSearch(SpectralMatrix matrix)
    {
        _matrix = matrix;
        _shares = matrix.Frame.Shares(ErbScale.LowestHz, ErbScale.HighestHz);
        (_cos, _sin) = (new double[_steps * _shares.Length], new double[_steps * _shares.Length]);
        for (var step = 0; step < _steps; step++)
        {
            for (var bin = 0; bin < _shares.Length; bin++)
            {
                var angle = 2 * Math.PI * matrix.Frame.FrequencyHz(bin) * DelayMs(step) / 1000;
                (_cos[(step * _shares.Length) + bin], _sin[(step * _shares.Length) + bin]) = (PortableMath.Cos(angle), PortableMath.Sin(angle));
            }
        }
    }

    /// <summary>The share of each bin in 20 to 300 Hz.</summary>
    public double[] Shares => _shares;

    /// <summary>Searches.</summary>
    public Likeness Of(int one, int other)
    {
        var powers = Math.Sqrt(_matrix.Power(one, _shares) * _matrix.Power(other, _shares));
        if (powers <= 0)
            return new(one, other, 0, 0, 0);

        var real = new double[_shares.Length];
        var imaginary = new double[_shares.Length];
        for (var bin = 0; bin < _shares.Length; bin++)
        {
            var cross = _matrix.Cross(one, other, bin);
            (real[bin], imaginary[bin]) = (_shares[bin] * cross.Real / powers, _shares[bin] * cross.Imaginary / powers);
        }

        var (best, most) = (0, 0.0);
        for (var step = 0; step < _steps; step++)
        {
            var value = 0.0;
            var row = step * _shares.Length;
            for (var bin = 0; bin < real.Length; bin++)
                value += (real[bin] * _cos[row + bin]) - (imaginary[bin] * _sin[row + bin]);

            // Of equal ones the smaller delay.
            if (Math.Abs(value) > most + 1e-9 || (Math.Abs(value) > most - 1e-9 && Math.Abs(DelayMs(step)) < Math.Abs(DelayMs(best))))
                (best, most) = (step, Math.Abs(value));
        }

        var (delayMs, correlation) = (DelayMs(best), At(DelayMs(best)));
        for (var fine = DelayMs(best) - CoarseMs; fine <= DelayMs(best) + CoarseMs; fine += FineMs)
        {
            if (At(fine) is var value && Math.Abs(value) > Math.Abs(correlation) + 1e-12)
                (delayMs, correlation) = (fine, value);
        }

        return new(one, other, Math.Clamp(correlation, -1, 1), Math.Round(delayMs * 100) / 100, Math.Clamp(At(0), -1, 1));

        double At(double ms)
        {
            var value = 0.0;
            for (var bin = 0; bin < real.Length; bin++)
            {
                if (real[bin] == 0 && imaginary[bin] == 0)
                    continue;
                var angle = 2 * Math.PI * _matrix.Frame.FrequencyHz(bin) * ms / 1000;
                value += (real[bin] * PortableMath.Cos(angle)) - (imaginary[bin] * PortableMath.Sin(angle));
            }

            return value;
        }
    }

    private static double DelayMs(int step) => (step * CoarseMs) - MostDelayMs;
}
