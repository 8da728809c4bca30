using System.Globalization;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Measures.Pitch;

/// <summary>
/// A note of equal temperament with A4 = 440 Hz (ISO 16), and the distance of a frequency from it. For people to read: no sound depends on it.
/// </summary>
/// <param name="Midi">The note's number: 69 is A4, and each step a semitone.</param>
/// <param name="Cents">How far the frequency lies above the note, in hundredths of a semitone, from -50 to 50.</param>
public readonly record struct Note(int Midi, double Cents)
{
    private const int A4 = 69;
    private const double A4Hz = 440;

    private static readonly string[] Names = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];

    /// <summary>The note's own frequency.</summary>
    public double FrequencyHz => A4Hz * PortableMath.Exp2((Midi - A4) / 12.0);

    /// <summary>Letter, sharp and octave: <c>G#1</c>. C4 is middle C.</summary>
    public string Name => Names[((Midi % 12) + 12) % 12] + (Math.Floor(Midi / 12.0) - 1).ToString(CultureInfo.InvariantCulture);

    /// <summary>The note nearest to a frequency above 0.</summary>
    public static Note NearestTo(double frequencyHz)
    {
        var semitones = 12 * PortableMath.Log2(frequencyHz / A4Hz);
        var nearest = Math.Round(semitones, MidpointRounding.ToEven);
        return new(A4 + (int)nearest, 100 * (semitones - nearest));
    }

    /// <summary>As in a report: <c>G#1 +7 cents</c>.</summary>
    public override string ToString()
    {
        var cents = Math.Round(Cents);
        return cents == 0 ? Name : string.Create(CultureInfo.InvariantCulture, $"{Name} {(cents > 0 ? "+" : "")}{cents} cents");
    }
}
