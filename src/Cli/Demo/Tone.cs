using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Cli.Demo;

/// <summary>What the demo's instruments are made of.</summary>
internal static class Tone
{
    private const int SampleRateHz = DemoScore.SampleRateHz;

    /// <summary>
    /// A sum of harmonics, <paramref name="amplitudes"/>[0] being the fundamental's, from one sine and one cosine:
    /// sin((n + 1) x) = 2 cos(x) sin(n x) - sin((n - 1) x).
    /// </summary>
    public static double Harmonics(double phaseCycles, ReadOnlySpan<double> amplitudes)
    {
        var angle = 2 * Math.PI * (phaseCycles - Math.Floor(phaseCycles));
        var (before, now, turn) = (0.0, PortableMath.Sin(angle), 2 * PortableMath.Cos(angle));
        var sum = 0.0;
        foreach (var amplitude in amplitudes)
        {
            sum += amplitude * now;
            (before, now) = (now, (turn * now) - before);
        }

        return sum;
    }

    /// <summary>A single sine.</summary>
    public static double Sine(double phaseCycles) => PortableMath.Sin(2 * Math.PI * (phaseCycles - Math.Floor(phaseCycles)));

    /// <summary>What is left after <paramref name="frame"/> frames of a decay that halves every <paramref name="halfMs"/>.</summary>
    public static double Decay(int frame, double halfMs) => PortableMath.Exp2(-frame * 1000.0 / (halfMs * SampleRateHz));

    /// <summary>Rises over <paramref name="riseMs"/>, stands at 1, and falls over the last <paramref name="fallMs"/>, both along half a cosine.</summary>
    public static double Gate(int frame, int lengthFrames, double riseMs, double fallMs) =>
        Smooth(frame * 1000.0 / (riseMs * SampleRateHz)) * Smooth((lengthFrames - frame) * 1000.0 / (fallMs * SampleRateHz));

    private static double Smooth(double part) =>
        part <= 0 ? 0 : part >= 1 ? 1 : (1 - PortableMath.Cos(Math.PI * part)) / 2;
}
