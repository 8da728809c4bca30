using RenderGraph.Cli.Demo;
using RenderGraph.Graph.Contracts;

namespace RenderGraph.Songs.Playing;

/// <summary>Somebody at a microphone.</summary>
internal static class Voices
{
    private static readonly (double CentreHz, double WidthHz, double Weight)[] Vowel = [(720, 130, 1), (1160, 160, 0.6), (2600, 300, 0.3), (3400, 350, 0.2)];

    /// <summary>A vowel on each note, which glides down by a tenth, as in speech, if <paramref name="glides"/>.</summary>
    public static Signal Voice(Stage stage, IReadOnlyList<Note> notes, double amplitude, bool glides)
    {
        var sound = stage.Silence();
        var plane = sound[0];
        Span<double> amplitudes = stackalloc double[14];
        foreach (var note in notes)
        {
            for (var index = 0; index < amplitudes.Length; index++)
                amplitudes[index] = VowelAmplitude((index + 1) * note.PitchHz) / (1 + (0.15 * index));
            var (start, frames) = stage.Place(note.Seconds, note.LengthSeconds);
            var cycles = 0.0;
            for (var frame = 0; frame < frames; frame++)
            {
                plane[start + frame] += amplitude * note.Strength * stage.Gate(frame, frames, 25, 50) * Tone.Harmonics(cycles, amplitudes);
                cycles += note.PitchHz * (glides ? 1.05 - (0.1 * frame / frames) : 1) / stage.SampleRateHz;
            }
        }

        return sound;
    }

    /// <summary>Bursts of breath on the microphone: strong below 80 Hz, and short.</summary>
    public static void AddPops(Stage stage, Signal sound, IReadOnlyList<double> seconds, double amplitude)
    {
        foreach (var at in seconds)
        {
            var (start, frames) = stage.Place(at, 0.09);
            for (var frame = 0; frame < frames; frame++)
                sound[0][start + frame] += amplitude * stage.Gate(frame, frames, 12, 75) * Tone.Sine(32.0 * frame / stage.SampleRateHz);
        }
    }

    /// <summary>Feet, traffic, a stand that is leaned on: noise below about 40 Hz.</summary>
    public static void AddRumble(Stage stage, Signal sound, double amplitude, ulong seed)
    {
        var noise = new SeededNoise(seed);
        var (once, twice, step) = (0.0, 0.0, 288.0 / stage.SampleRateHz);
        var plane = sound[0];
        for (var frame = 0; frame < plane.Length; frame++)
        {
            once += step * (noise.Next() - once);
            twice += step * (once - twice);
            plane[frame] += amplitude * twice;
        }
    }

    private static double VowelAmplitude(double frequencyHz)
    {
        var sum = 0.04;
        foreach (var (centreHz, widthHz, weight) in Vowel)
        {
            var away = (frequencyHz - centreHz) / widthHz;
            sum += weight / (1 + (away * away));
        }

        return sum;
    }
}
