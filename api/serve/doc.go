package serve

//	@title			Tamis
//	@version		1
//	@description	Artwork in; print plan, quote, film positives and setup sheet out. Lengths are in mm, angles in degrees, rulings in lines per inch, meshes in threads per cm, money is a decimal string. Refusals are RFC 9457 problem documents that name every field at fault.
//	@license.name	see the repository
//	@BasePath		/
