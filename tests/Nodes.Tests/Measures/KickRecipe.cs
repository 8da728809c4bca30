using RenderGraph.Graph.Contracts;
using RenderGraph.Testing;

namespace RenderGraph.Nodes.Tests.Measures;

/// <summary>
/// A kick in closed form: a tone that falls from one pitch to another and dies away. phase = 2 pi (f_lo t + (f_hi - f_lo) tau_f (1 - exp(-t / tau_f))),
/// x = amp min(1, t / attack) exp(-t / tau_a) sin(phase); hits add.
/// </summary>
/// <param name="HitSeconds">When it is struck.</param>
/// <param name="Velocities">How hard.</param>
/// <param name="SettledHz">What the pitch falls to.</param>
public sealed record KickRecipe(
    string Id, double HighHz, double LowHz, double FallSeconds, double DecaySeconds, double LengthSeconds, double AttackSeconds, double Amplitude,
    double[] HitSeconds, double[] Velocities, double SettledHz, double TotalSeconds)
{
    /// <summary>The frames it is struck at.</summary>
    public int[] HitFrames(int sampleRateHz) => [.. HitSeconds.Select(seconds => (int)Math.Round(seconds * sampleRateHz))];

    /// <summary>Plays it.</summary>
    public Signal Play(int sampleRateHz)
    {
        var signal = Signal.Allocate(1, (int)(TotalSeconds * sampleRateHz));
        foreach (var (start, velocity) in HitFrames(sampleRateHz).Zip(Velocities))
        {
            for (var frame = 0; frame < Math.Round(LengthSeconds * sampleRateHz) && start + frame < signal.Frames; frame++)
            {
                var t = (double)frame / sampleRateHz;
                var turns = (LowHz * t) + ((HighHz - LowHz) * FallSeconds * (1 - Math.Exp(-t / FallSeconds)));
                signal[0][start + frame] += velocity * Amplitude * Math.Min(1, t / AttackSeconds) * Math.Exp(-t / DecaySeconds) * Math.Sin(2 * Math.PI * turns);
            }
        }

        return signal;
    }

    /// <summary>Struck at other times and strengths.</summary>
    public KickRecipe With(double totalSeconds, params (double Seconds, double Velocity)[] hits) => this with
    {
        TotalSeconds = totalSeconds, HitSeconds = [.. hits.Select(hit => hit.Seconds)], Velocities = [.. hits.Select(hit => hit.Velocity)],
    };

    /// <summary>The name that a test run shows.</summary>
    public override string ToString() => Id;
}
