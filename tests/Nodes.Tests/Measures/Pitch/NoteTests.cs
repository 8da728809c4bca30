using RenderGraph.Nodes.Measures.Pitch;
using Xunit;

namespace RenderGraph.Nodes.Tests.Measures.Pitch;

public sealed class NoteTests
{
    // tests/Reference/analysis.json, worked out in numpy: equal temperament, A4 = 440 Hz (ISO 16).
    [Fact]
    public void EveryNoteOfTheTableHasItsFrequencyAndIsNearestToIt()
    {
        Assert.Equal(52, AnalysisReference.NotesHz.Count);
        foreach (var (midi, frequencyHz) in AnalysisReference.NotesHz)
        {
            Assert.Equal(frequencyHz, new Note(midi, 0).FrequencyHz, 1e-11 * frequencyHz);
            var nearest = Note.NearestTo(frequencyHz);
            Assert.Equal(midi, nearest.Midi);
            Assert.Equal(0, nearest.Cents, 1e-9);
        }
    }

    [Theory]
    [InlineData(440, "A4")] // ISO 16
    [InlineData(27.5, "A0")] // the lowest key of a piano
    [InlineData(261.6255653005986, "C4")]
    [InlineData(8.175798915643707, "C-1")] // MIDI note 0
    [InlineData(52, "G#1 +3 cents")] // 100 x 12 log2(52 / 51.91308719749314) = 2.9
    [InlineData(51.5, "G#1 -14 cents")] // 100 x 12 log2(51.5 / 51.91308719749314) = -13.8
    public void ANoteIsWrittenWithItsOctaveAndTheCentsBeside(double frequencyHz, string written) =>
        Assert.Equal(written, Note.NearestTo(frequencyHz).ToString());

    [Fact]
    public void CentsStayWithinHalfASemitone()
    {
        for (var frequencyHz = 20.0; frequencyHz < 1000; frequencyHz *= 1.003)
        {
            var note = Note.NearestTo(frequencyHz);
            Assert.InRange(note.Cents, -50, 50);
            Assert.Equal(frequencyHz, note.FrequencyHz * Math.Pow(2, note.Cents / 1200), 1e-10 * frequencyHz);
        }
    }
}
