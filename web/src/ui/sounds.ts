// The page's one player of sounds.

import { Player } from '../sound'

class Sounds extends Player {
  /** For TEST SOUND: arms, and plays what a call to clear sounds like. */
  test(): void {
    this.arm()
    this.play('clear')
  }
}

export const sounds = new Sounds()
