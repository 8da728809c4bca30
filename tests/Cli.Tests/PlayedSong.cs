using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Cli.Tests;

/// <summary>Short songs of our own for the commands that listen: kicks and basses by closed form.</summary>
internal static class PlayedSong
{
    public const double Seconds = 6;
    private const int Rate = 48_000;

    private static readonly double[] Beats = [.. Enumerable.Range(0, 10).Select(beat => 0.5 + (0.5 * beat))];

    /// <summary>A sine that falls from 180 Hz to its frequency and dies away, every half second.</summary>
    public static Signal Kick(double frequencyHz, double amplitude, double laterMs = 0)
    {
        var signal = Signal.Allocate(1, (int)(Seconds * Rate));
        foreach (var beat in Beats)
        {
            var start = (int)((beat + (laterMs / 1000)) * Rate);
            for (var frame = start; frame < Math.Min(signal.Frames, start + (Rate / 2)); frame++)
            {
                var t = (frame - start) / (double)Rate;
                var cycles = (frequencyHz * t) + ((180 - frequencyHz) * 0.02 * (1 - Math.Exp(-t / 0.02)));
                signal[0][frame] += amplitude * Math.Min(1, t / 0.001) * Math.Exp(-t / 0.18) * Math.Sin(2 * Math.PI * cycles);
            }
        }

        return signal;
    }

    /// <summary>A note on every half second, going through these frequencies, with one harmonic.</summary>
    public static Signal Bass(double amplitude, params double[] frequenciesHz) => Signals.Fill(1, (int)(Seconds * Rate), (_, frame) =>
    {
        var note = frame / (Rate / 2);
        var t = (frame % (Rate / 2)) / (double)Rate;
        var hertz = frequenciesHz[note % frequenciesHz.Length];
        var fade = Math.Clamp(Math.Min(t / 0.005, (0.45 - t) / 0.01), 0, 1);
        return amplitude * fade * (Math.Sin(2 * Math.PI * hertz * t) + (0.3 * Math.Sin(4 * Math.PI * hertz * t)));
    });

    public static Signal Voice() => Signals.Sine(440, Rate, (int)(Seconds * Rate), 0.1);
}
