using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Measures.Comparing;

/// <summary>The level of all that lies above the low end: above 300 Hz, 24 dB an octave.</summary>
internal sealed class HighBand
{
    private const double LeastPower = 1e-20; // -200 dBFS

    private const string Measure = "levelAbove300Dbfs";

    private readonly SectionBank _bank;
    private readonly Signal _room;
    private readonly PlaneEnergy[] _energies;
    private long _frames;

    public HighBand(int sampleRateHz, int channels, int maxBlockFrames)
    {
        _bank = new([(channels, CrestBand.All[^1].Sections(sampleRateHz))]);
        _room = Signal.Allocate(channels, maxBlockFrames);
        _energies = [.. Enumerable.Range(0, channels).Select(_ => new PlaneEnergy())];
    }

    public void Hear(Signal heard)
    {
        var output = _room.Slice(0, heard.Frames);
        _bank.Process(_frames, [heard], [output]);
        for (var channel = 0; channel < output.Channels; channel++)
            _energies[channel].Add(output[channel]);
        _frames += heard.Frames;
    }

    public Measurement Conclude() => _energies.Sum(energy => energy.Value) / ((double)Math.Max(1, _frames) * _energies.Length) is > LeastPower and var power
        ? new(Measure, Decibels.FromPower(power)) : None("there is nothing in the band above -200 dBFS");

    /// <summary>No number, but a reason.</summary>
    public static Measurement None(string reason) => Measurement.None(Measure, reason);
}
