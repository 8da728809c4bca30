using RenderGraph.Graph.Contracts;

namespace RenderGraph.Songs.Playing;

/// <summary>What else a microphone hears.</summary>
internal static class Microphones
{
    /// <summary>Adds a sound as it arrives from some metres away: later, softer, and with fewer highs (a one-pole low-pass).</summary>
    /// <param name="dullness">0 keeps all highs; towards 1 hardly any are left.</param>
    public static void AddBleed(Stage stage, Signal sound, Signal from, double metres, double gain, double dullness = 0.5)
    {
        var late = stage.Frame(metres / 343);
        for (var channel = 0; channel < sound.Channels; channel++)
        {
            var heard = from[Math.Min(channel, from.Channels - 1)];
            var plane = sound[channel];
            var level = 0.0;
            for (var frame = late; frame < plane.Length; frame++)
            {
                level += (1 - dullness) * (heard[frame - late] - level);
                plane[frame] += gain * level;
            }
        }
    }
}
