namespace RenderGraph.Songs;

/// <summary>What kind of session a song comes from; each has a recipe of the same name in <c>graphs/recipes</c>.</summary>
public enum Situation
{
    KickLedElectronic,
    LiveBand,
    BassLedWithoutKick,
    PracticeRoomWithBleed,
    SpokenWordWithMusicBed,
}
